import { foldCase } from '../../text/fold.js';
import { baseName, joinPath } from '../../text/path.js';
import { idFinding, isId } from '../shape/id.js';
import { firmwareNamedBy, type Located, type WrittenFile } from '../written.js';
import type { CheckContext, CheckedRule } from './rule.js';
import { badId } from './shape.js';

export const unknownFirmware: CheckedRule = {
  id: 'unknown-firmware',
  severity: 'error',
  description: 'A system names only firmware that one of the manifests defines.',
  check(context) {
    const { files, complete, problems } = context;
    const known = complete && !files.some(({ sections }) => sections.firmware === 'lost');
    for (const { id, found, meant } of firmwareReferences(context)) {
      if (found === 'id') continue;
      if (known && (found === 'path' || (found === 'name' && !isId(id.value)))) {
        problems.add(unknownFirmware, id.spot, {
          message: `"${id.value}" is a ${found === 'path' ? 'path' : 'file name'}; a system names firmware by its id.`,
          suggestion: meant,
        });
      } else if (!isId(id.value)) {
        problems.add(badId, id.spot, idFinding(id.value));
      } else if (known) {
        problems.add(unknownFirmware, id.spot, {
          message: `No firmware "${id.value}" is defined.`,
          suggestion: meant,
        });
      }
    }
  },
};

export const unknownSystem: CheckedRule = {
  id: 'unknown-system',
  severity: 'error',
  description: 'A loadout names only systems that one of the manifests defines.',
  check({ files, complete, problems, suggester }) {
    const known = complete && !files.some(({ sections }) => sections.systems === 'lost');
    const systems = files.flatMap((file) => file.systems);
    const ids = new Set(systems.map(({ id }) => id.value));
    const byName = new Map(
      systems.flatMap(({ id, name }) => (name === null ? [] : [[foldCase(name), id.value]])),
    );
    for (const id of files.flatMap((file) => file.loadouts).flatMap((loadout) => loadout.systems)) {
      if (ids.has(id.value)) continue;
      const named = byName.get(foldCase(id.value));
      if (known && named !== undefined) {
        problems.add(unknownSystem, id.spot, {
          message: `"${id.value}" is a name; a loadout names systems by their ids.`,
          suggestion: named,
        });
      } else if (!isId(id.value)) {
        problems.add(badId, id.spot, idFinding(id.value));
      } else if (known) {
        problems.add(unknownSystem, id.spot, {
          message: `No system "${id.value}" is defined.`,
          suggestion: suggester.nearest(id.value, ids),
        });
      }
    }
  },
};

export const unusedFirmware: CheckedRule = {
  id: 'unused-firmware',
  severity: 'warning',
  description: 'Every firmware is named by a system.',
  check(context) {
    const { files, complete, problems } = context;
    // A reference that could not be read may have been to any of them.
    if (!complete || files.some(({ sections }) => sections.systems !== 'whole')) return;
    // One named with a slip, which is reported there, is named all the same.
    const named = new Set(firmwareReferences(context).map(({ meant }) => meant));
    for (const { id } of files.flatMap((file) => file.firmware)) {
      if (named.has(id.value) || !isId(id.value)) continue;
      problems.add(unusedFirmware, id.spot, {
        message: `No system names the firmware "${id.value}", so it is never checked.`,
      });
    }
  },
};

/** A place where a system names firmware. */
interface Reference {
  readonly id: Located<string>;
  /** What of an entry stands there: `name` is its file's, without the ending. */
  readonly found: 'id' | 'path' | 'name' | null;
  /** The id of that entry; where there is none, the nearest id, or null. */
  readonly meant: string | null;
}

/** Several rules ask for the references in the same files. */
const asked = new WeakMap<readonly WrittenFile[], readonly Reference[]>();

function firmwareReferences({
  files,
  suggester,
}: Pick<CheckContext, 'files' | 'suggester'>): readonly Reference[] {
  const made = asked.get(files);
  if (made !== undefined) return made;
  const known = new Set(files.flatMap((file) => file.firmware.map(({ id }) => id.value)));
  let paths: Paths | null = null;
  const references = files
    .flatMap((file) => file.systems)
    .flatMap(firmwareNamedBy)
    .map((id): Reference => {
      if (known.has(id.value)) return { id, found: 'id', meant: id.value };
      paths ??= idsByPath(files);
      const folded = foldCase(id.value);
      const withPath = paths.whole.get(folded);
      if (withPath !== undefined) return { id, found: 'path', meant: withPath };
      const withName = paths.names.get(folded);
      if (withName !== undefined) return { id, found: 'name', meant: withName };
      const meant = isId(id.value) ? suggester.nearest(id.value, known) : null;
      return { id, found: null, meant };
    });
  asked.set(files, references);
  return references;
}

/** By what people write, case-folded: of several entries the first. */
interface Paths {
  /** The path alone, with the manifest's or entry's folder before it, or the file name. */
  readonly whole: ReadonlyMap<string, string>;
  /** The file name without its ending. */
  readonly names: ReadonlyMap<string, string>;
}

function idsByPath(files: readonly WrittenFile[]): Paths {
  const whole = new Map<string, string>();
  const names = new Map<string, string>();
  const add = (map: Map<string, string>, text: string, id: string): void => {
    const folded = foldCase(text);
    if (!map.has(folded)) map.set(folded, id);
  };
  for (const { id, path, folder, file } of files.flatMap((each) => each.firmware)) {
    if (path === null) continue;
    const name = baseName(path.value);
    for (const text of [path.value, name]) add(whole, text, id.value);
    const inside = (folder ?? file.folder)?.value;
    if (inside !== undefined) add(whole, joinPath(inside, path.value), id.value);
    add(names, name.replace(/\.[^.]*$/, ''), id.value);
  }
  return { whole, names };
}
