import type { Algorithm } from '../../../bytes/digests.js';
import type { WrittenDump, WrittenFile } from '../../written.js';

/** Each list of acceptable dumps in a file: of entries and of members. */
export function dumpLists(file: WrittenFile): (readonly WrittenDump[])[] {
  return file.firmware.flatMap((firmware) => [
    firmware.dumps,
    ...(firmware.members ?? []).map((member) => member.dumps),
  ]);
}

/** Several rules ask for the dumps of the same files. */
const asked = new WeakMap<readonly WrittenFile[], readonly WrittenDump[]>();

/** All dumps in all files. */
export function allDumps(files: readonly WrittenFile[]): readonly WrittenDump[] {
  const known = asked.get(files);
  if (known !== undefined) return known;
  const dumps = files.flatMap((file) => dumpLists(file).flat());
  asked.set(files, dumps);
  return dumps;
}

/**
 * How two dumps compare by what both of them give: `same` when at least one
 * digest is equal and nothing differs, `differ` when something differs and no
 * digest is equal or none is shared, `contradict` when a digest is equal but
 * something else is not, so that one of them has a slip.
 */
export function compareDumps(a: WrittenDump, b: WrittenDump): 'same' | 'differ' | 'contradict' {
  const ofB = new Map<Algorithm, string>(
    b.digests.map(({ algorithm, value }) => [algorithm, value.toLowerCase()]),
  );
  let equal = false;
  let different = a.size !== null && b.size !== null && a.size.value !== b.size.value;
  for (const { algorithm, value } of a.digests) {
    const other = ofB.get(algorithm);
    if (other === undefined) continue;
    if (other === value.toLowerCase()) equal = true;
    else different = true;
  }
  if (!equal) return 'differ';
  return different ? 'contradict' : 'same';
}

/** Keys under which dumps that share a digest meet. */
export function digestKeys(dump: WrittenDump): string[] {
  return dump.digests.map(({ algorithm, value }) => `${algorithm}:${value.toLowerCase()}`);
}
