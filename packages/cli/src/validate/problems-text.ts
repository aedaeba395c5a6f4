import type { ManifestFile, Problem } from '@firmtally/core';
import {
  fitFrame,
  moreText,
  viewProblems,
  type ProblemFrame,
  type ProblemView,
} from '@firmtally/core/internal';
import { paint, type Context } from '../context.js';
import { quoted } from '../quoted.js';
import { cellsOf } from '../terminal/cut.js';
import { fillParts, wordsOf, type Part } from '../terminal/wrap.js';

/**
 * Problems with their places in the files, for the terminal: a frame is as wide
 * as that, and below 80 columns every other line too, but for long names. From
 * 80 on a sentence stays on one line, for editors and `grep`.
 */
export function problemsText(
  problems: readonly Problem[],
  files: readonly ManifestFile[],
  context: Context,
): string {
  const view = viewProblems(problems, new Map(files.map(({ path, bytes }) => [path, bytes])));
  const blocks = view.problems.map((problem) => blockOf(problem, context));
  if (view.more > 0) blocks.push(moreText(view.more));
  return blocks.map((block) => `${block}\n`).join('\n');
}

/** Terminals at least this wide show a broken line well enough. */
const WHOLE_FROM = 80;

function blockOf(problem: ProblemView, context: Context): string {
  const { location, line, severity, message, rule, frame, notes } = problem;
  const columns = context.columns < WHOLE_FROM ? context.columns : Infinity;
  const gutter = ' '.repeat(String(line).length);
  const painted =
    (style: Parameters<typeof paint>[1]) =>
    (text: string): string =>
      paint(context, style, text);
  const head: readonly Part[] = [
    { text: `${location}:`, paint: painted('bold') },
    { text: `${severity}:`, paint: painted(severity === 'error' ? 'red' : 'yellow') },
    ...wordsOf(message),
    { text: `[${rule}]`, paint: painted('dim') },
  ];
  const lines = [
    ...fillParts(head, columns, '  '),
    ...(frame === null ? [] : framed(frame, gutter, context)),
  ];
  for (const { kind, lead, text, end } of notes) {
    const last: readonly Part[] =
      kind === 'suggestion'
        ? [{ text: text + end, paint: () => paint(context, 'green', text) + end }]
        : wordsOf(text + end);
    const words = [...(lead === '' ? [] : wordsOf(lead)), ...last];
    lines.push(...fillParts([{ text: `${gutter} =` }, ...words], columns, `${gutter}   `));
  }
  const command = NEXT_COMMANDS[rule];
  if (command !== undefined) {
    // Not broken, so that it can be copied.
    const parts = [{ text: `${gutter} = run:` }, { text: `${command} ${quoted(problem.file)}` }];
    lines.push(...fillParts(parts, columns, `${gutter}   `));
  }
  return lines.join('\n');
}

/** What to run on a file that breaks a rule. */
const NEXT_COMMANDS: Readonly<Partial<Record<string, string>>> = {
  'posted-list': 'firmtally draft --list',
};

/** Cells below which a frame would show nothing of use. */
const MIN_ROOM = 16;

/** `12 | source` and, below it, `^~~~` under what is meant. */
function framed(frame: ProblemFrame, gutter: string, context: Context): string[] {
  const { before, meant, after } = fitFrame(frame, {
    room: Math.max(MIN_ROOM, context.columns - gutter.length - ' | '.length),
    sizeOf: cellsOf,
    ellipsis: context.ascii ? '...' : '…',
  });
  const marker = `^${'~'.repeat(Math.max(0, cellsOf(meant) - 1))}`;
  return [
    `${paint(context, 'dim', `${frame.lineNumber} |`)} ${before}${meant}${after}`.trimEnd(),
    `${paint(context, 'dim', `${gutter} |`)} ${' '.repeat(cellsOf(before))}${paint(context, 'cyan', marker)}`,
  ];
}
