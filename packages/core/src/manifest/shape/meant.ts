import { ALGORITHMS, DIGEST_LENGTH, type Algorithm } from '../../bytes/digests.js';
import { nearestName } from '../../text/nearest.js';
import { resolve, type SchemaPart } from './schema-at.js';

/**
 * The key that was most likely meant by one that a map does not know: by the
 * words people use for it, by what the value is, or the nearest; null when
 * none is.
 *
 * @param name of the map's own key, for parts of the schema without a name
 */
export function meantKey(
  part: Pick<SchemaPart, 'name' | 'keys'>,
  name: string,
  key: string,
  value: unknown,
): string | null {
  const bare = withoutQuotes(key) ?? key;
  const other = OTHER_WORDS[part.name ?? name];
  const slip = other !== undefined && Object.hasOwn(other, bare) ? other[bare] : undefined;
  if (slip !== undefined) return slip;
  if (part.name === 'dump' && OF_A_DIGEST.has(bare)) return algorithmOf(value);
  return part.keys.includes(bare) ? bare : nearestName(bare, part.keys);
}

/** Other words for a key that people write, too far from it for the nearest name (common practice, no source). */
const OTHER_WORDS: Readonly<Record<string, Readonly<Record<string, string>>>> = {
  '': {
    version: 'firmtally',
    name: 'title',
    directory: 'folder',
    bios: 'firmware',
    files: 'firmware',
  },
  firmware: {
    ...{ file: 'path', filename: 'path', name: 'path', description: 'note', comment: 'note' },
    ...{ directory: 'folder', hashes: 'dumps', checksums: 'dumps', digests: 'dumps' },
    ...{ versions: 'dumps', revisions: 'dumps', contents: 'members', files: 'members' },
  },
  member: { file: 'path', filename: 'path', name: 'path', hashes: 'dumps', checksums: 'dumps' },
  dump: {
    ...{ name: 'label', revision: 'label', region: 'label', version: 'label' },
    ...{ length: 'size', bytes: 'size', filesize: 'size' },
  },
  system: {
    ...{ title: 'name', needs: 'requires', needed: 'requires', required: 'requires' },
    ...{ firmware: 'requires', bios: 'requires', games: 'folders', content: 'folders' },
  },
  requirement: { 'one-of': 'any-of', either: 'any-of', any: 'any-of' },
  loadout: { title: 'name', directory: 'folder', games: 'content', folders: 'content' },
  folderCheck: { folder: 'path', directory: 'path', contains: 'holds', art: 'pictures' },
  holds: { minimum: 'at-least', min: 'at-least', count: 'at-least', types: 'extensions' },
};

const OF_A_DIGEST: ReadonlySet<string> = new Set(['checksum', 'digest', 'hash', 'sum']);

/** The algorithm that gives as many hex digits. */
export function algorithmOf(value: unknown): Algorithm | null {
  if (typeof value !== 'string' || !/^[0-9A-Fa-f]+$/.test(value)) return null;
  return ALGORITHMS.find((algorithm) => DIGEST_LENGTH[algorithm] === value.length) ?? null;
}

/**
 * How a key is written that belongs further inside: `dumps: [{ size: ... }]`.
 * Null when no part of the map knows it.
 */
export function inside({ schema }: SchemaPart, key: string): string | null {
  for (const [outer, inner] of Object.entries(schema.properties ?? {})) {
    const part = resolve(inner);
    if (part.keys.includes(key)) return `${outer}: { ${key}: ... }`;
    if (resolve(part.schema.items ?? {}).keys.includes(key)) return `${outer}: [{ ${key}: ... }]`;
  }
  return null;
}

/** What stands in typographic quotes, which a word processor makes of plain ones; null for other texts. */
export function withoutQuotes(text: string): string | null {
  return /^[\u2018-\u201f\u00ab\u2039](.*)[\u2018-\u201f\u00bb\u203a]$/su.exec(text)?.[1] ?? null;
}
