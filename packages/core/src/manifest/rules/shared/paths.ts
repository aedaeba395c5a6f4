import type { WrittenFile, Located } from '../../written.js';

/** A path or folder written in a manifest. */
export interface WrittenPath {
  readonly text: Located<string>;
  /** `member`: inside a ZIP, so nothing the card's file system has to hold. */
  readonly kind: 'file' | 'folder' | 'member';
}

/** Every path and folder in a file, in the order of its parts. */
export function writtenPaths(file: WrittenFile): WrittenPath[] {
  const paths: WrittenPath[] = [];
  const add = (text: Located<string> | null, kind: WrittenPath['kind']): void => {
    if (text !== null) paths.push({ text, kind });
  };
  add(file.folder, 'folder');
  for (const firmware of file.firmware) {
    add(firmware.path, 'file');
    add(firmware.folder, 'folder');
    for (const member of firmware.members ?? []) add(member.path, 'member');
  }
  for (const check of file.systems.flatMap((system) => system.folders)) {
    add(check.path, 'folder');
    add(check.pictures?.folder ?? null, 'folder');
  }
  for (const loadout of file.loadouts) {
    add(loadout.folder, 'folder');
    for (const { from, to } of loadout.content) {
      add(from, 'folder');
      add(to, 'folder');
    }
  }
  return paths;
}
