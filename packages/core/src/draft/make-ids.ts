import { isId } from '../manifest/shape/id.js';
import { baseName, folderOf } from '../text/path.js';

/** UTF-16 units kept of a name; the rest of the 100 an id may have is for what makes it unique. */
const MAX_STEM = 80;

/**
 * Ids for files, one each, in the order given, none of them `taken`. The name without its ending if no
 * other file has it, else with the ending or the folder's name, else numbered.
 */
export function firmwareIds(paths: readonly string[], taken: Iterable<string> = []): string[] {
  return uniqueIds(
    paths.map((path) => {
      const name = baseName(path);
      const stem = stemOf(name);
      const folder = baseName(folderOf(path));
      return [stem, name, `${folder}-${stem}`, `${folder}-${name}`];
    }),
    'file',
    taken,
  );
}

/** Ids for systems by their names, one each, in the order given: the last part of a path, else the whole, else numbered. */
export function systemIds(names: readonly string[], taken: Iterable<string> = []): string[] {
  return uniqueIds(
    names.map((name) => [baseName(name), name.replaceAll('/', '-')]),
    'system',
    taken,
  );
}

/** Takes for each the first wording nobody else could want as well. */
function uniqueIds(
  choices: readonly (readonly string[])[],
  fallback: string,
  others: Iterable<string>,
): string[] {
  const wordings = choices.map((each) => each.map((text) => idOf(text, fallback)));
  const wanted = new Map<string, number>();
  for (const each of wordings) {
    for (const id of new Set(each)) wanted.set(id, (wanted.get(id) ?? 0) + 1);
  }
  const taken = new Set(others);
  const nextNumber = new Map<string, number>();
  return wordings.map((each) => {
    const free = each.find((id) => wanted.get(id) === 1 && !taken.has(id));
    const id = free ?? numbered(each[0] ?? fallback, taken, wanted, nextNumber);
    taken.add(id);
    return id;
  });
}

function numbered(
  id: string,
  taken: ReadonlySet<string>,
  wanted: ReadonlyMap<string, number>,
  nextNumber: Map<string, number>,
): string {
  if (!taken.has(id)) return id;
  // Goes on where the last search for this id ended: many files may want one.
  for (let number = nextNumber.get(id) ?? 2; ; number++) {
    nextNumber.set(id, number + 1);
    const candidate = `${id}-${number}`;
    if (!taken.has(candidate) && !wanted.has(candidate)) return candidate;
  }
}

/** Lower-case; accents stay; what an id cannot hold becomes a hyphen. */
function idOf(text: string, fallback: string): string {
  const id = cut(text.normalize('NFC').toLowerCase().normalize('NFC'), MAX_STEM)
    .replaceAll(/[^\p{L}\p{N}.+]+/gu, '-')
    .replace(/^[^\p{L}\p{N}]+/u, '')
    .replace(/[-.+]+$/u, '');
  return isId(id) ? id : fallback;
}

/** At most so many UTF-16 units, no character cut in half. */
function cut(text: string, length: number): string {
  return text.slice(0, length).replace(/[\ud800-\udbff]$/, '');
}

function stemOf(name: string): string {
  const dot = name.lastIndexOf('.');
  return dot > 0 ? name.slice(0, dot) : name;
}
