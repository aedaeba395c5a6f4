import { isPresenceOnly, type Dump, type Firmware } from '../manifest/model.js';

/** What a manifest says of one acceptable content. Digests are lower-case hex; null where it gives none. */
export interface ExpectedDump {
  readonly label: string;
  /** Bytes. */
  readonly size: number | null;
  readonly crc32: string | null;
  readonly md5: string | null;
  readonly sha1: string | null;
  readonly sha256: string | null;
}

/** What is expected of a file, or of a ZIP by its members; null when nothing but that it is there. */
export type Expected =
  | { readonly dumps: readonly ExpectedDump[] }
  | {
      readonly members: readonly {
        readonly path: string;
        readonly dumps: readonly ExpectedDump[];
      }[];
    }
  | null;

/** Says what an entry expects. */
export function expectedOf(firmware: Firmware): Expected {
  if (isPresenceOnly(firmware)) return null;
  if (firmware.members === null) return { dumps: firmware.dumps.map(expectedDump) };
  return {
    members: firmware.members.map(({ path, dumps }) => ({ path, dumps: dumps.map(expectedDump) })),
  };
}

function expectedDump({ label, size, digests }: Dump): ExpectedDump {
  return {
    label,
    size,
    crc32: digests.crc32 ?? null,
    md5: digests.md5 ?? null,
    sha1: digests.sha1 ?? null,
    sha256: digests.sha256 ?? null,
  };
}

/**
 * How people are told which of several dumps is meant; null when saying so adds
 * nothing: there is one, and the manifest gave that no label.
 */
export function dumpNameIn(dumps: readonly ExpectedDump[], label: string | null): string | null {
  // What the manifest model calls a first dump without a label.
  return label === '#1' && dumps.length === 1 && dumps[0]?.label === label ? null : label;
}

/** The name of the dump that a row's file is; null when it is none, or there is nothing to tell apart. */
export function dumpNameOf(row: {
  readonly expected: Expected;
  readonly dump: string | null;
}): string | null {
  const { expected, dump } = row;
  return dumpNameIn(expected !== null && 'dumps' in expected ? expected.dumps : [], dump);
}
