import { escapeText, type Drafted, type DraftNote, type LeftOut } from '@firmtally/core';
import { count } from '@firmtally/core/internal';

/** Notes that are shown; what is left out of the draft is always shown in full. */
const MAX_NOTES = 20;

/** What a draft came to, for stderr: first what is in it, what is not and what comes next. */
export function draftText(
  drafted: Drafted,
  names: readonly string[],
  into: string | null,
  quiet: boolean,
): string {
  const { leftOut, notes } = drafted;
  const shown = quiet ? [] : notes.slice(0, MAX_NOTES);
  const more = quiet ? 0 : notes.length - shown.length;
  return [
    ...(quiet && !isEmpty(drafted) ? [] : summary(drafted, names, into)),
    ...leftOut.map((item) => leftOutLine(drafted, item)),
    ...shown.map(noteLine),
    ...(more > 0 ? [`firmtally: and ${count(more, 'more note')} of this kind`] : []),
  ]
    .map((line) => `${line}\n`)
    .join('');
}

function summary(drafted: Drafted, names: readonly string[], into: string | null): string[] {
  const fresh = drafted.firmware.filter(({ known }) => !known);
  const grown = drafted.firmware.length - fresh.length;
  const dumps = drafted.firmware.reduce((sum, { dumps: each }) => sum + each.length, 0);
  const optional = new Set(drafted.systems.flatMap((system) => system.optional)).size;
  const sources = escapeText(names.join(', '));
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
  return [
    `firmtally: drafted from ${sources}${target}: ${what}${rest(drafted)}`,
    ...NEXT[drafted.from],
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

const NEXT = {
  lists: [
    'These are the list\u2019s words: no file was read.',
    'Next: check ids, systems and folder, then: firmtally audit ROOT -m FILE',
  ],
  files: ['Next: check ids and names, then: firmtally audit ROOT -m FILE'],
} as const;

function leftOutLine({ from }: Drafted, item: LeftOut): string {
  if (from === 'files') {
    return `firmtally: not drafted: ${escapeText(item.text)}: ${escapeText(item.reason)}`;
  }
  const text = item.text === '' ? '' : ` In: ${escapeText(item.text)}`;
  return `${at(item)}: not used: ${escapeText(item.reason)}${text}`;
}

function noteLine(note: DraftNote): string {
  if (note.line !== null) return `${at(note)}: note: ${escapeText(note.message)}`;
  return `firmtally: note: ${escapeText(note.text)}: ${escapeText(note.message)}`;
}

function at({ source, line, endLine }: LeftOut | DraftNote): string {
  const range = endLine === line || endLine === null ? `${line ?? ''}` : `${line ?? ''}-${endLine}`;
  return `${escapeText(source)}:${range}`;
}
