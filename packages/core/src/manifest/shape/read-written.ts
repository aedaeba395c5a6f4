import { ALGORITHMS } from '../../bytes/digests.js';
import type {
  Sections,
  WrittenDump,
  WrittenFile,
  WrittenFirmware,
  WrittenFolderCheck,
  WrittenLoadout,
  WrittenMember,
  WrittenRequirement,
  WrittenSystem,
} from '../written.js';
import type { ParsedManifest } from '../parse/parsed.js';
import { Cursor } from './cursor.js';
import { meantKey } from './meant.js';
import { resolve } from './schema-at.js';

/** Reads what is sound in a parsed manifest. */
export function readWritten(parsed: ParsedManifest, sections: Sections): WrittenFile {
  const root = Cursor.root(parsed);
  const firmware: WrittenFirmware[] = [];
  const systems: WrittenSystem[] = [];
  const loadouts: WrittenLoadout[] = [];
  const file: WrittenFile = {
    source: parsed.source,
    damaged: parsed.damaged,
    sections,
    title: textOf(root, 'title'),
    folder: root.get('folder')?.text() ?? null,
    case: root.get('case')?.value === 'ignore' ? 'ignore' : 'exact',
    firmware,
    systems,
    loadouts,
  };
  for (const [id, at] of entriesOf(root, 'firmware')) firmware.push(readFirmware(file, id, at));
  for (const [id, at] of entriesOf(root, 'systems')) systems.push(readSystem(file, id, at));
  for (const [id, at] of entriesOf(root, 'loadouts')) loadouts.push(readLoadout(file, id, at));
  return file;
}

function readFirmware(file: WrittenFile, id: string, at: Cursor): WrittenFirmware {
  const members = at.get('members');
  return {
    file,
    id: { value: id, spot: at.keySpot },
    path: at.get('path')?.text() ?? null,
    folder: at.get('folder')?.text() ?? null,
    note: textOf(at, 'note'),
    dumps: mapsIn(at.get('dumps')).map(readDump),
    members: members === null ? null : mapsIn(members).map(readMember),
    dumpsKey: at.get('dumps')?.keySpot ?? null,
    membersKey: members?.keySpot ?? null,
  };
}

function readMember(at: Cursor): WrittenMember {
  return {
    spot: at.spot,
    path: at.get('path')?.text() ?? null,
    dumps: mapsIn(at.get('dumps')).map(readDump),
  };
}

function readDump(at: Cursor): WrittenDump {
  return {
    spot: at.spot,
    label: textOf(at, 'label'),
    size: at.get('size')?.integer() ?? null,
    digests: ALGORITHMS.flatMap((algorithm) => {
      const text = at.get(algorithm)?.text() ?? null;
      return text === null ? [] : [{ algorithm, value: text.value, spot: text.spot }];
    }),
    // A misspelt one has been reported as an unknown key.
    namesSize: at.get('size') !== null,
    namesDigest: at.keys().some((key) => meansDigest(key, at)),
  };
}

function meansDigest(key: string, at: Cursor): boolean {
  const algorithms: readonly string[] = ALGORITHMS;
  if (algorithms.includes(key)) return true;
  if (key === 'label' || key === 'size') return false;
  const dump = resolve({ $ref: '#/$defs/dump' });
  return algorithms.includes(meantKey(dump, '', key, at.get(key)?.value) ?? '');
}

function readSystem(file: WrittenFile, id: string, at: Cursor): WrittenSystem {
  return {
    file,
    id: { value: id, spot: at.keySpot },
    name: textOf(at, 'name'),
    requires: itemsOf(at, 'requires').map(readRequirement),
    optional: at.get('optional')?.texts() ?? [],
    folders: itemsOf(at, 'folders').map(readFolderCheck),
  };
}

function readRequirement(at: Cursor): WrittenRequirement {
  const anyOf = at.get('any-of');
  const text = at.text();
  return {
    spot: at.spot,
    anyOf: text === null,
    ids: text === null ? (anyOf?.texts() ?? []) : [text],
  };
}

function readFolderCheck(at: Cursor): WrittenFolderCheck {
  const holds = at.get('holds');
  const pictures = at.get('pictures');
  return {
    path: at.get('path')?.text() ?? null,
    atLeast: holds?.get('at-least')?.integer()?.value ?? null,
    extensions: holds?.get('extensions')?.texts() ?? [],
    pictures:
      pictures === null
        ? null
        : {
            folder: pictures.get('folder')?.text() ?? null,
            extensions: pictures.get('extensions')?.texts() ?? [],
          },
  };
}

function readLoadout(file: WrittenFile, id: string, at: Cursor): WrittenLoadout {
  const list = Array.isArray(at.value) ? at : at.get('systems');
  return {
    file,
    id: { value: id, spot: at.keySpot },
    name: textOf(at, 'name'),
    systems: list?.texts() ?? [],
    folder: Array.isArray(at.value) ? null : (at.get('folder')?.text() ?? null),
    content: entriesOf(at, 'content').flatMap(([from, to]) => {
      const text = to.text();
      return text === null ? [] : [{ from: { value: from, spot: to.keySpot }, to: text }];
    }),
  };
}

function textOf(at: Cursor, key: string): string | null {
  return at.get(key)?.text()?.value ?? null;
}

function itemsOf(at: Cursor, key: string): Cursor[] {
  return at.get(key)?.items() ?? [];
}

/** The items that are maps; the others have been reported. */
function mapsIn(list: Cursor | null): Cursor[] {
  return (list?.items() ?? []).filter(
    ({ value }) => typeof value === 'object' && value !== null && !Array.isArray(value),
  );
}

function entriesOf(at: Cursor, key: string): (readonly [string, Cursor])[] {
  return at.get(key)?.entries() ?? [];
}
