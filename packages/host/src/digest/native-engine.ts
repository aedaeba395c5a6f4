import { createHash, type Hash } from 'node:crypto';
import * as zlib from 'node:zlib';
import {
  hashWasmEngine,
  type Algorithm,
  type DigestEngine,
  type Digests,
  type Hasher,
} from '@firmtally/core';
import { sortAlgorithms } from '@firmtally/core/internal';

/** Node >= 20.15 only. */
const zlibCrc32 = (zlib as { crc32?: (data: Uint8Array, value?: number) => number }).crc32;

/**
 * OpenSSL's MD5, SHA-1 and SHA-256 and zlib's CRC-32. What this Node lacks
 * (zlib.crc32 before 20.15, MD5 in FIPS mode) comes from hash-wasm.
 */
export const nativeEngine: DigestEngine = {
  name: 'native',
  async create(algorithms) {
    const parts: Part[] = [];
    const lacking: Algorithm[] = [];
    for (const algorithm of sortAlgorithms(algorithms)) {
      const part = algorithm === 'crc32' ? crcPart() : hashPart(algorithm);
      if (part === null) lacking.push(algorithm);
      else parts.push(part);
    }
    return new NativeHasher(
      parts,
      lacking.length === 0 ? null : await hashWasmEngine.create(lacking),
    );
  },
};

interface Part {
  readonly algorithm: Algorithm;
  update(chunk: Uint8Array): void;
  hex(): string;
}

function crcPart(): Part | null {
  if (zlibCrc32 === undefined) return null;
  const crc32 = zlibCrc32;
  let value = 0;
  return {
    algorithm: 'crc32',
    update: (chunk) => (value = crc32(chunk, value)),
    hex: () => value.toString(16).padStart(8, '0'),
  };
}

function hashPart(algorithm: Algorithm): Part | null {
  let hash: Hash;
  try {
    hash = createHash(algorithm);
  } catch {
    return null; // this OpenSSL does not offer it; hash-wasm does
  }
  return {
    algorithm,
    update: (chunk) => hash.update(chunk),
    hex: () => hash.digest('hex'),
  };
}

class NativeHasher implements Hasher {
  readonly #parts: readonly Part[];
  readonly #rest: Hasher | null;

  constructor(parts: readonly Part[], rest: Hasher | null) {
    this.#parts = parts;
    this.#rest = rest;
  }

  update(chunk: Uint8Array): void {
    for (const part of this.#parts) part.update(chunk);
    this.#rest?.update(chunk);
  }

  digest(): Digests {
    const digests: Partial<Record<Algorithm, string>> = { ...this.#rest?.digest() };
    for (const part of this.#parts) digests[part.algorithm] = part.hex();
    return digests;
  }
}
