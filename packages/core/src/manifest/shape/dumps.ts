import type { WrittenDump, WrittenFile } from '../written.js';

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
