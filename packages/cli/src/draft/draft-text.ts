import { escapeText, type Drafted } from '@firmtally/core';
import { count, remarksOf } from '@firmtally/core/internal';
import { quoted } from '../quoted.js';

/** What was drafted, and where it goes. */
export interface DraftTold {
  readonly drafted: Drafted;
  readonly sources: readonly string[];
  /** The manifest it is added to; null when it is a new one. */
  readonly into: string | null;
  /** The file it is written to; null for standard output. */
  readonly output: string | null;
}

/** What a draft came to, for stderr: first what is in it and what comes next, then what is not. */
export function draftText(told: DraftTold, quiet: boolean): string {
  const { drafted } = told;
  const { leftOut, notes } = remarksOf(drafted);
  const lead = drafted.from === 'lists' ? '' : 'firmtally: ';
  return [
    ...(quiet && !isEmpty(drafted) ? [] : summary(told)),
    ...[...leftOut, ...(quiet ? [] : notes)].map((line) => lead + escapeText(line)),
  ]
    .map((line) => `${line}\n`)
    .join('');
}

function summary(told: DraftTold): string[] {
  const { drafted, into } = told;
  const fresh = drafted.firmware.filter(({ known }) => !known);
  const grown = drafted.firmware.length - fresh.length;
  const dumps = drafted.firmware.reduce((sum, { dumps: each }) => sum + each.length, 0);
  const optional = new Set(drafted.systems.flatMap((system) => system.optional)).size;
  const sources = escapeText(told.sources.join(', '));
  const what = [
    `${count(fresh.length, into === null ? 'file' : 'new file')}${optional > 0 ? ` (${optional} optional)` : ''}`,
    ...(grown > 0 ? [`${count(grown, 'known file')} with more dumps`] : []),
    ...(dumps > drafted.firmware.length ? [`${count(dumps, 'dump')} in all`] : []),
    count(drafted.systems.length, 'system'),
  ].join(', ');
  const target = into === null ? '' : ` for ${escapeText(into)}`;
  if (isEmpty(drafted)) {
    const found = into === null ? 'nothing can be drafted from' : 'nothing new is in';
    return [`firmtally: ${found} ${sources}${target}${rest(drafted)}`];
  }
  return [`firmtally: drafted from ${sources}${target}: ${what}${rest(drafted)}`, ...next(told)];
}

/** What to do with it. */
function next({ drafted, into, output }: DraftTold): string[] {
  const file = output === null ? 'FILE' : quoted(output);
  // One of these is found by itself.
  const named = /^firmtally\.(?:ya?ml|json)$/.test(file) ? '' : ` -m ${file}`;
  const audit = `then: firmtally audit ROOT${named}`;
  if (drafted.from === 'files') return [`Next: check ids and names, ${audit}`];
  const folder =
    drafted.folder === null && into === null
      ? ['No folder is set: with --folder F the files belong in F, as in system/firmware.']
      : [];
  return [
    'These are the list\u2019s words: no file was read.',
    ...folder,
    `Next: check ids, systems and folder, ${audit}`,
  ];
}

function isEmpty({ firmware, systems }: Drafted): boolean {
  return firmware.length === 0 && systems.length === 0;
}

/** What else there is to say, told below. */
function rest({ from, leftOut, notes }: Drafted): string {
  const lines = leftOut.reduce(
    (sum, { line, endLine }) => sum + (line === null || endLine === null ? 1 : endLine - line + 1),
    0,
  );
  const parts = [
    ...(lines > 0
      ? [from === 'lists' ? `${count(lines, 'line')} not used` : `${lines} left out`]
      : []),
    ...(notes.length > 0 ? [count(notes.length, 'note')] : []),
  ];
  return parts.length === 0 ? '' : `; ${parts.join(', ')}, see below`;
}
