import type { DraftDump, DraftFile } from '../draft.js';

/** Each list of acceptable dumps in a file: of entries and of members. */
export function dumpLists(file: DraftFile): (readonly DraftDump[])[] {
  return file.firmware.flatMap((firmware) => [
    firmware.dumps,
    ...(firmware.members ?? []).map((member) => member.dumps),
  ]);
}

/** All dumps in all files. */
export function allDumps(files: readonly DraftFile[]): DraftDump[] {
  return files.flatMap((file) => dumpLists(file).flat());
}
