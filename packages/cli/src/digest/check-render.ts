import {
  escapeText,
  type CheckDocument,
  type CheckedLine,
  type CheckedList,
} from '@firmtally/core';
import { paint, type Context } from '../context.js';
import { EXIT, type ExitCode } from '../exit-code.js';

/** Failures first, then what all lists came to. */
export function renderCheck(document: CheckDocument, context: Context): string {
  const why = new Map(document.faults.map(({ path, message }) => [path, message]));
  const failures = document.lists.flatMap(({ path, lines, malformed }) => [
    ...lines.flatMap((line) => failureLines(line, why, context)),
    ...malformed.map(
      ({ line, message }) =>
        `${status('malformed', context)}${escapeText(path)}:${line}: ${escapeText(message)}`,
    ),
  ]);
  return [...failures, ...summaryLines(document, context)].map((line) => `${line}\n`).join('');
}

function status(name: string, context: Context): string {
  return `${paint(context, 'red', name)}${' '.repeat(12 - name.length)}`;
}

function failureLines(
  line: CheckedLine,
  why: ReadonlyMap<string, string>,
  context: Context,
): string[] {
  if (line.status === 'match') return [];
  const { algorithm, path } = line;
  const first = `${status(line.status, context)}${escapeText(path)}`;
  if (line.status === 'missing') return [first];
  if (line.status === 'unreadable') return [`${first}: ${escapeText(why.get(path) ?? '')}`];
  return [
    first,
    `  ${algorithm} listed  ${line.listed}`,
    `  ${algorithm} found   ${line.found ?? ''}`,
  ];
}

/** Every count is always shown, so that nothing hides in another. */
function summaryLines({ totals }: CheckDocument, context: Context): string[] {
  const { match, mismatch, missing, unreadable, malformed } = totals;
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

/** 2 when something could not be verified at all or a list names nothing, else 1 when something differs. */
export function checkExit(document: CheckDocument): ExitCode {
  const { mismatch, missing, unreadable, malformed } = document.totals;
  if (malformed > 0 || unreadable > 0 || document.lists.some(isEmpty)) return EXIT.trouble;
  return mismatch > 0 || missing > 0 ? EXIT.differs : EXIT.good;
}

/** Whether a list names no file: nothing was verified by it. */
export function isEmpty({ lines }: CheckedList): boolean {
  return lines.length === 0;
}
