import type { Problem } from '@firmtally/core';
import {
  escaped,
  fitFrame,
  moreText,
  viewProblems,
  type ProblemView,
} from '@firmtally/core/internal';

/** Characters of a frame's line. */
const ROOM = 100;

/** Problems of manifests as `validate` has them, laid out to be read on a phone too; every text from a manifest is escaped. */
export function problemsHtml(
  problems: readonly Problem[],
  sources: ReadonlyMap<string, Uint8Array>,
): string {
  const { problems: shown, more } = viewProblems(problems, sources);
  return [
    '<div class="problems">',
    ...shown.map(problemHtml),
    ...(more > 0 ? [`<p>${moreText(more)}</p>`] : []),
    '</div>',
  ].join('\n');
}

function problemHtml(problem: ProblemView): string {
  const { location, severity, message, rule, frame, notes } = problem;
  const place = `<span class="soft">${escaped(location)}:</span>`;
  const named = `<span class="soft rule">[${escaped(rule)}]</span>`;
  return [
    `<article class="task do problem ${severity}">`,
    `<h2>${place} ${severity}: ${escaped(message)} ${named}</h2>`,
    ...(frame === null ? [] : [frameHtml(frame)]),
    ...notes.map((note) => `<p>${noteText(note)}</p>`),
    '</article>',
  ].join('\n');
}

function frameHtml(frame: NonNullable<ProblemView['frame']>): string {
  const { before, meant, after } = fitFrame(frame, { room: ROOM, ellipsis: '…' });
  // The end of a line has no character that could be marked.
  const mark = `<mark>${meant === '' ? '&nbsp;' : escaped(meant)}</mark>`;
  return `<pre>${String(frame.lineNumber)} | ${escaped(before)}${mark}${escaped(after)}</pre>`;
}

function noteText({ lead, text, end }: ProblemView['notes'][number]): string {
  return `${lead === '' ? '' : `${escaped(lead)} `}<b>${escaped(text)}</b>${escaped(end)}`;
}
