import type { Dump, ExpectedFirmware, Verdict } from '@firmtally/core';
import { digestsOf, type MemoryItem } from '../memory-folder.js';

/**
 * Verdicts by the written rules, slowly and plainly: every file's digests are
 * computed anew for every question, and nothing is shared with the code under
 * test but the shape of its input. Names are compared by `toLowerCase`, which
 * is simple case folding for the letters that the generated names use.
 */
export interface OracleVerdict {
  readonly verdict: Verdict;
  readonly foundAt: string | null;
  readonly dump: string | null;
}

type Items = ReadonlyMap<string, MemoryItem>;
/** Members of a ZIP that a test made, by path. */
export type ZipMembers = ReadonlyMap<string, ReadonlyMap<string, Uint8Array>>;

export function oracleVerdict(
  wanted: ExpectedFirmware,
  all: readonly ExpectedFirmware[],
  items: Items,
  options: { readonly wide: boolean; readonly zips?: ZipMembers },
): OracleVerdict {
  const path = wanted.expectedPath;
  const { dumps, members } = wanted.firmware;
  const ignoreCase = wanted.firmware.case === 'ignore';
  const presenceOnly = dumps.length === 0 && members === null;
  const isRight = (at: string): boolean => right(wanted, at, items, options.zips) !== null;
  const label = (at: string): string | null => right(wanted, at, items, options.zips) ?? null;
  // Nothing can be wrong with it, and nothing shows that it is right.
  const isUnproven = (at: string): boolean =>
    presenceOnly || (!isRight(at) && unproven(wanted, at, items, options.zips));
  const lowest = (paths: string[]): string | undefined =>
    paths.sort((a, b) => Buffer.compare(Buffer.from(a), Buffer.from(b)))[0];

  const elsewhere = (not: string): string | undefined =>
    lowest(
      [...items.keys()].filter((at) => {
        if (at === not || contentOf(at, items) === null) return false;
        const sameName = nameOf(at).toLowerCase() === nameOf(path).toLowerCase();
        if (presenceOnly) return sameName;
        if (!isRight(at)) return false;
        if (members !== null) return sameName || options.wide;
        if (options.wide || sameName) return true;
        const matching = proving(dumps).filter((dump) => isDump(contentOf(at, items), dump));
        if (matching.some((dump) => dump.size !== null)) return true;
        // By a dump without a size: files beside an expected path.
        const size = contentOf(at, items)?.length;
        const hasUnsized = matching.some((dump) => dump.size === null);
        const anySized = proving(dumps).some((dump) => dump.size === size);
        return (
          anySized || (hasUnsized && all.some((one) => folderOf(one.expectedPath) === folderOf(at)))
        );
      }),
    );

  const judgeAt = (at: string): OracleVerdict => {
    if (contentOf(at, items) === null) return { verdict: 'unreadable', foundAt: at, dump: null };
    if (isUnproven(at)) return { verdict: 'unverified', foundAt: at, dump: null };
    if (isRight(at)) return { verdict: 'match', foundAt: at, dump: labelOrNull(label(at)) };
    return { verdict: 'mismatch', foundAt: elsewhere(at) ?? at, dump: null };
  };

  if (items.has(path)) return judgeAt(path);

  const variants = [...items.keys()].filter(
    (at) => at !== path && at.toLowerCase() === path.toLowerCase(),
  );
  const readable = variants.filter((at) => contentOf(at, items) !== null);
  const good = lowest(readable.filter((at) => isUnproven(at) || isRight(at)));
  if (good !== undefined) {
    if (ignoreCase) return judgeAt(good);
    return {
      verdict: 'miscased',
      foundAt: good,
      dump: isUnproven(good) ? null : labelOrNull(label(good)),
    };
  }
  const bad = lowest(ignoreCase ? variants : readable);
  if (bad !== undefined) {
    return ignoreCase ? judgeAt(bad) : { verdict: 'mismatch', foundAt: bad, dump: null };
  }

  const other = elsewhere('');
  if (other !== undefined) {
    const dump = presenceOnly ? null : labelOrNull(label(other));
    return { verdict: 'misplaced', foundAt: other, dump };
  }
  return { verdict: 'missing', foundAt: null, dump: null };
}

/** The label of the first dump that the file is; '' for a right ZIP; null when it is wrong. */
function right(
  { firmware }: ExpectedFirmware,
  at: string,
  items: Items,
  zips: ZipMembers | undefined,
): string | null {
  if (firmware.members !== null) {
    const target = linkTarget(at, items);
    const inside = zips?.get(target);
    if (inside === undefined) return null;
    const ok = firmware.members.every((member) => {
      const bytes = inside.get(member.path) ?? null;
      return member.dumps.some((dump) => isDump(bytes, dump));
    });
    return ok ? '' : null;
  }
  const bytes = contentOf(at, items);
  return firmware.dumps.find((dump) => isDump(bytes, dump))?.label ?? null;
}

/** A dump with only a size proves nothing. */
function proving(dumps: readonly Dump[]): readonly Dump[] {
  return dumps.filter((dump) => Object.keys(dump.digests).length > 0);
}

/** Whether only a size, of the file or of members, speaks for what is there, and nothing against it. */
function unproven(
  { firmware }: ExpectedFirmware,
  at: string,
  items: Items,
  zips: ZipMembers | undefined,
): boolean {
  const bySize = (bytes: Uint8Array | null, dumps: readonly Dump[]): boolean =>
    dumps.some((dump) => !proving([dump]).length && dump.size === bytes?.length);
  if (firmware.members === null) return bySize(contentOf(at, items), firmware.dumps);
  const inside = zips?.get(linkTarget(at, items));
  if (inside === undefined) return false;
  return firmware.members.every(({ path, dumps }) => {
    const bytes = inside.get(path) ?? null;
    return dumps.some((dump) => isDump(bytes, dump)) || bySize(bytes, dumps);
  });
}

function isDump(bytes: Uint8Array | null, dump: Dump): boolean {
  if (bytes === null || proving([dump]).length === 0) return false;
  if (dump.size !== null && dump.size !== bytes.length) return false;
  const digests = digestsOf(bytes, ['crc32', 'md5', 'sha1', 'sha256']);
  for (const algorithm of ['crc32', 'md5', 'sha1', 'sha256'] as const) {
    const given = dump.digests[algorithm];
    if (given !== undefined && given !== digests[algorithm]) return false;
  }
  return true;
}

function contentOf(at: string, items: Items): Uint8Array | null {
  const item = items.get(linkTarget(at, items));
  if (typeof item === 'string') return Buffer.from(item);
  return item instanceof Uint8Array ? item : null;
}

function linkTarget(at: string, items: Items): string {
  const item = items.get(at);
  return typeof item === 'object' && 'link' in item ? item.link : at;
}

function labelOrNull(label: string | null): string | null {
  return label === '' ? null : label;
}

function nameOf(path: string): string {
  return path.split('/').at(-1) ?? '';
}

function folderOf(path: string): string {
  return path.split('/').slice(0, -1).join('/');
}
