import { escapeText } from '@firmtally/core';
import { paint, type Context } from '../context.js';
import { EXIT, type ExitCode } from '../exit-code.js';
import type { CheckedList, CheckRow } from './check-lists.js';

/** Failures first, then what each list came to. */
export function renderCheck(lists: readonly CheckedList[], context: Context): string {
  const failures = lists.flatMap(({ list, rows, problems }) => [
    ...rows.flatMap((row) => failureLines(row, context)),
    ...problems.map(
      ({ line, message }) =>
        `${status('malformed', context)}${escapeText(list)}:${line}: ${escapeText(message)}`,
    ),
  ]);
  return [...failures, ...summaryLines(lists, context)].map((line) => `${line}\n`).join('');
}

function status(name: string, context: Context): string {
  return `${paint(context, 'red', name)}${' '.repeat(12 - name.length)}`;
}

function failureLines(row: CheckRow, context: Context): string[] {
  if (row.status === 'match') return [];
  const { algorithm, digest, path } = row.entry;
  const first = `${status(row.status, context)}${escapeText(path)}`;
  if (row.status === 'missing') return [first];
  if (row.status === 'unreadable') return [`${first}: ${escapeText(row.why)}`];
  return [first, `  ${algorithm} listed  ${digest}`, `  ${algorithm} found   ${row.found}`];
}

/** Every count is always shown, so that nothing hides in another. */
function summaryLines(lists: readonly CheckedList[], context: Context): string[] {
  const { match, mismatch, missing, unreadable, malformed } = countAll(lists);
  const lines = `${malformed} malformed ${malformed === 1 ? 'line' : 'lines'}`;
  const parts = [
    `${match} match`,
    `${mismatch} mismatch`,
    `${missing} missing`,
    `${unreadable} unreadable`,
    lines,
  ];
  const text = parts.join(', ');
  return text.length <= context.columns ? [text] : parts;
}

interface Counts {
  readonly match: number;
  readonly mismatch: number;
  readonly missing: number;
  readonly unreadable: number;
  readonly malformed: number;
}

function countAll(lists: readonly CheckedList[]): Counts {
  const rows = lists.flatMap((list) => list.rows);
  const of = (wanted: CheckRow['status']): number =>
    rows.filter((row) => row.status === wanted).length;
  return {
    match: of('match'),
    mismatch: of('mismatch'),
    missing: of('missing'),
    unreadable: of('unreadable'),
    malformed: lists.reduce((sum, { problems }) => sum + problems.length, 0),
  };
}

/** 2 when something could not be verified at all or a list names nothing, else 1 when something differs. */
export function checkExit(lists: readonly CheckedList[]): ExitCode {
  const { mismatch, missing, unreadable, malformed } = countAll(lists);
  if (malformed > 0 || unreadable > 0 || emptyLists(lists).length > 0) return EXIT.trouble;
  return mismatch > 0 || missing > 0 ? EXIT.differs : EXIT.good;
}

/** Lists that name no file: nothing was verified by them. */
export function emptyLists(lists: readonly CheckedList[]): string[] {
  return lists.filter(({ rows }) => rows.length === 0).map(({ list }) => list);
}
