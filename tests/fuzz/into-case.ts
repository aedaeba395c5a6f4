import { draftLists, intoOption, writeDraft } from '@firmtally/core/internal';
import { isDeepStrictEqual } from 'node:util';
import { parse } from 'yaml';
import { check } from './check.js';
import { makeContents } from './contents.js';
import { write } from './document.js';
import { expectedPath } from './expectation.js';
import { makeRows } from './list-case.js';
import type { RowModel } from './list-writer.js';
import { makeManifest } from './make-manifest.js';
import { Random } from './random.js';
import { readBytes, readFaultless } from './subject.js';

/** A manifest as any YAML reader sees it, every scalar as text. */
interface Read {
  readonly firmware?: Record<
    string,
    { path: string; folder?: string; dumps?: object[]; members?: object[] }
  >;
  readonly systems?: Record<string, { requires?: unknown[]; optional?: string[] }>;
  readonly folder?: string;
}

/** Entries put into a manifest: every character of it stays in its order, it says all it said, and what was listed. */
export async function intoManifestCase(seed: number): Promise<void> {
  const random = new Random(seed);
  const { model, document } = makeManifest(random, makeContents(random, 6));
  const style = random.pick(['json', 'flow', 'block', 'block', 'block'] as const);
  const text = write(document, style, random);
  const manifest = await readFaultless(text);
  const file = { path: 'm.yaml', bytes: Buffer.from(random.chance(0.1) ? `\ufeff${text}` : text) };
  const rows = makeRows(random).filter(({ path }) => path.trim() === path);
  // Some are of the manifest's own files.
  const own = model.firmware
    .map(({ path }) => path)
    .filter((path) => path.trim() === path && random.chance(0.5));
  const listed = rows.map((row, index) => ({ ...row, path: own[index] ?? row.path }));
  const bytes = Buffer.from(JSON.stringify(listed.map(asObject)));
  const into = { file, manifest };
  const drafted = draftLists([{ path: 'list.json', bytes }], { into: intoOption(into) });
  const result = await writeDraft(drafted, { into });
  const seen = { text, result, listed, leftOut: drafted.leftOut };
  check(
    isSubsequence(text.replace(/(?<=: *)\{\}/gu, ''), result),
    'all that was written, in its order',
    seen,
  );
  if (style === 'json')
    check(
      typeof JSON.parse(result.replace(/^\ufeff/u, '')) === 'object',
      'JSON that stays JSON',
      seen,
    );
  const again = await readBytes([{ path: 'm.yaml', bytes: Buffer.from(result) }]);
  check(again.manifest !== null, 'a valid manifest', { ...seen, problems: again.problems });
  const before = readYaml(text);
  const after = readYaml(result);
  saysAllOf(before, after, seen);
  const left = new Set(drafted.leftOut.map(({ line }) => line));
  check(left.size === 0 || left.has(1), 'lines of the one-line list', seen);
  for (const row of listed) isIn(row, after, model.folder, seen, drafted.leftOut.length > 0);
}

function asObject({ path, size, digests, label, system, optional }: RowModel): object {
  return {
    path,
    size: size ?? '',
    ...digests,
    label: label ?? '',
    system: system ?? '',
    optional: optional ?? '',
  };
}

function readYaml(text: string): Read {
  return parse(text, { schema: 'failsafe' }) as Read;
}

function isSubsequence(part: string, whole: string): boolean {
  let at = 0;
  for (const character of part) {
    at = whole.indexOf(character, at) + 1;
    if (at === 0) return false;
  }
  return true;
}

function saysAllOf(before: Read, after: Read, seen: unknown): void {
  for (const [id, old] of Object.entries(before.firmware ?? {})) {
    const now = after.firmware?.[id];
    check(now !== undefined, 'an entry that stays', seen);
    const { dumps: oldDumps = [], ...oldRest } = old;
    const { dumps = [], ...rest } = now;
    check(isDeepStrictEqual(rest, oldRest), 'an entry that stays as it is', seen);
    check(isDeepStrictEqual(dumps.slice(0, oldDumps.length), oldDumps), 'dumps that stay', seen);
  }
  for (const [id, old] of Object.entries(before.systems ?? {})) {
    const now = after.systems?.[id];
    for (const key of ['requires', 'optional'] as const) {
      const list = old[key] ?? [];
      check(
        isDeepStrictEqual((now?.[key] ?? []).slice(0, list.length), list),
        'a system that stays',
        seen,
      );
    }
  }
}

/** The row's digests are those of one dump at its path, or it was left out. */
function isIn(
  row: RowModel,
  after: Read,
  folder: string | null,
  seen: unknown,
  someLeftOut: boolean,
): void {
  const path = expectedPath(folder, row.path);
  const entry = Object.values(after.firmware ?? {}).find(
    (one) => expectedPath(one.folder ?? folder, one.path) === path,
  );
  if (someLeftOut && (entry === undefined || entry.members !== undefined)) return;
  const found = (entry?.dumps ?? []).some((dump) => {
    const said = dump as Record<string, string>;
    return Object.entries(row.digests).some(
      ([name, digest]) => said[name]?.toLowerCase() === digest,
    );
  });
  check(found, 'a dump that was listed', { row, ...(seen as object) });
}
