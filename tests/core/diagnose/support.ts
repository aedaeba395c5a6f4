import { createHash } from 'node:crypto';
import { crc32 } from 'node:zlib';
import {
  type DigestEngine,
  hashWasmEngine,
  memoryAccess,
  type Algorithm,
  type Digests,
  type Dump,
  type Firmware,
  type Manifest,
  type Member,
} from '@firmtally/core';
import {
  applyRemedy,
  diagnoseFile,
  KnownDumps,
  type Diagnosis,
  type DiagnosisLimits,
} from '@firmtally/core/internal';
import { zipReader } from '@firmtally/host/internal';

const LOCATION = { file: 'invented.yaml', line: 1, column: 1, endLine: 1, endColumn: 2 };

/** Digests by OpenSSL (node:crypto) and zlib, not by what is tested. */
export function digestsOf(bytes: Uint8Array, algorithms: readonly Algorithm[]): Digests {
  const digests: Partial<Record<Algorithm, string>> = {};
  for (const algorithm of algorithms) {
    digests[algorithm] =
      algorithm === 'crc32'
        ? crc32(bytes).toString(16).padStart(8, '0')
        : createHash(algorithm).update(bytes).digest('hex');
  }
  return digests;
}

export function dumpOf(
  bytes: Uint8Array,
  options: { readonly label?: string; readonly sized?: boolean; readonly only?: Algorithm[] } = {},
): Dump {
  return {
    label: options.label ?? '#1',
    size: options.sized === false ? null : bytes.length,
    digests: digestsOf(bytes, options.only ?? ['crc32', 'md5', 'sha1']),
    location: LOCATION,
  };
}

export function firmwareOf(
  id: string,
  dumps: readonly Dump[],
  members?: readonly Member[],
): Firmware {
  return {
    id,
    path: `${id}.bin`,
    folder: null,
    defaultFolder: '',
    case: 'exact',
    note: null,
    dumps,
    members: members ?? null,
    location: LOCATION,
  };
}

export function manifestOf(firmware: readonly Firmware[]): Manifest {
  return {
    sources: [],
    firmware: new Map(firmware.map((each) => [each.id, each])),
    systems: new Map(),
    loadouts: new Map(),
  };
}

/** What is said of a file, as one text. */
export function textOf({ facts }: Pick<Diagnosis, 'facts'>): string {
  return facts.map(({ text }) => text).join(' ');
}

/** Diagnoses bytes against an entry; `others` are the manifest's further entries. */
export function diagnose(
  bytes: Uint8Array,
  firmware: Firmware,
  options: {
    readonly others?: readonly Firmware[];
    readonly limits?: Partial<DiagnosisLimits>;
    readonly zip?: boolean;
  } = {},
): Promise<Diagnosis> {
  return diagnoseFile({
    content: memoryAccess(bytes),
    firmware,
    known: new KnownDumps([firmware, ...(options.others ?? [])]),
    platform: { engine: hashWasmEngine, archives: options.zip === false ? null : zipReader },
    ...(options.limits === undefined ? {} : { limits: options.limits }),
  });
}

/** An engine that counts what is hashed: how often, and how many bytes. */
export function countingEngine(): {
  engine: DigestEngine;
  passes: () => number;
  bytes: () => number;
} {
  let [passes, bytes] = [0, 0];
  const engine: DigestEngine = {
    name: 'counting',
    create: async (algorithms) => {
      passes++;
      const hasher = await hashWasmEngine.create(algorithms);
      return {
        update: (chunk) => {
          bytes += chunk.length;
          hasher.update(chunk);
        },
        digest: () => hasher.digest(),
      };
    },
  };
  return { engine, passes: () => passes, bytes: () => bytes };
}

/** The bytes a diagnosis' remedy gives back. Throws when it has none. */
export function undo(bytes: Uint8Array, { remedy }: Diagnosis): Promise<Uint8Array> {
  if (remedy === null) throw new Error('no remedy');
  return applyRemedy(bytes, remedy, zipReader);
}

/** Reproducible bytes without structure (xorshift32), so that no test data is in the tree. */
export function noise(size: number, seed = 1): Uint8Array {
  let state = seed * 2654435761 || 1;
  return Uint8Array.from({ length: size }, () => {
    state ^= state << 13;
    state ^= state >>> 17;
    state ^= state << 5;
    return state & 0xff;
  });
}
