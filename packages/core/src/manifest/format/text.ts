import type { Problem } from '../problem.js';
import { characters, fitFrame, type ProblemFrame } from './frame.js';
import { viewProblems, type ProblemSources, type ProblemView } from './view.js';

/**
 * Problems as plain text: `file:line:column: severity: message [rule]`, the line
 * with the place marked below it, and what helps. `sources` holds the manifests
 * by path; a problem in a file that is not there gets no frame. Everything that
 * comes from a manifest is escaped. Of more than 200 problems 200 are shown,
 * errors before warnings, and a last line says how many are not.
 *
 * Each sentence is one line, a frame at most 100 characters wide.
 *
 * @example
 * const { problems } = await readManifests([{ path: 'tern.yaml', bytes }]);
 * formatProblems(problems, new Map([['tern.yaml', bytes]])); // => ''
 */
export function formatProblems(problems: readonly Problem[], sources: ProblemSources): string {
  const view = viewProblems(problems, sources);
  const blocks = view.problems.map(blockOf);
  if (view.more > 0) blocks.push(moreText(view.more));
  return blocks.map((block) => `${block}\n`).join('\n');
}

/** What is said of problems that are not shown. */
export function moreText(more: number): string {
  return `and ${more} more, not shown here`;
}

function blockOf({ location, line, severity, message, rule, frame, notes }: ProblemView): string {
  const gutter = ' '.repeat(String(line).length);
  return [
    `${location}: ${severity}: ${message} [${rule}]`,
    ...(frame === null ? [] : framed(frame, gutter)),
    ...notes.map(
      ({ lead, text, end }) => `${gutter} = ${lead === '' ? '' : `${lead} `}${text}${end}`,
    ),
  ].join('\n');
}

/** Characters of a frame's line. */
const ROOM = 100;

function framed(frame: ProblemFrame, gutter: string): string[] {
  const { before, meant, after } = fitFrame(frame, { room: ROOM, ellipsis: '…' });
  const marker = `^${'~'.repeat(Math.max(0, characters(meant) - 1))}`;
  return [
    `${frame.lineNumber} | ${before}${meant}${after}`.trimEnd(),
    `${gutter} | ${' '.repeat(characters(before))}${marker}`,
  ];
}
