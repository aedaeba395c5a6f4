import {
  ALGORITHMS,
  escapeText,
  type ContentLine,
  type FirmwareRow,
  type Readiness,
  type ReportView,
  type SystemLine,
  type ToDoGroup,
  type ToDoItem,
} from '@firmtally/core';
import {
  ALGORITHM_NAMES,
  count,
  dumpNameOf,
  HEADINGS,
  verdictWords,
} from '@firmtally/core/internal';
import { labelled, styledLines } from '../terminal/labelled.js';
import { drawTable, type Cell } from '../terminal/table.js';
import { wrapHanging, wrapIndented } from '../terminal/wrap.js';
import { toGetText } from '../to-get-text.js';

export interface TableOptions {
  /** Cells of the terminal. */
  readonly columns: number;
  readonly ascii: boolean;
  readonly detail: boolean;
  readonly brief: boolean;
  /** What is to be typed so that files are put where they belong; null when nothing can be put anywhere. */
  readonly next: NextCommand | null;
  readonly paint: (style: PaintStyle, text: string) => string;
}

export interface NextCommand {
  /** What it does, one sentence that ends in a colon. */
  readonly text: string;
  readonly command: string;
}

type PaintStyle = 'bold' | 'dim' | 'green' | 'yellow' | 'red';

const READINESS_STYLE: Readonly<Record<Readiness, PaintStyle>> = {
  ready: 'green',
  unproven: 'yellow',
  'not-ready': 'red',
};

/**
 * The report for a terminal: how many systems are ready, what may explain it,
 * the table with what is not ready first, what to get and to do, the summary
 * again as the last line. Every line fits the width.
 */
export function renderTable(view: ReportView, given: TableOptions): string {
  // Narrower than this no layout helps.
  const options = { ...given, columns: Math.max(MIN_COLUMNS, given.columns) };
  const { report } = view;
  const blocks = [
    styled('bold', view.headline, options),
    ...view.hints.map((hint) => styled('yellow', hint, options)),
    ...sinceBlocks(view, options),
    systemsBlock(view.systems.map(withFewReasons), options),
    ...legendBlock(view, options),
    ...section(
      HEADINGS.toGet,
      view.toGet.map((item) => toGetText(item, options)),
      options,
    ),
    ...(options.brief ? [] : workBlocks(view, options)),
    ...section(
      HEADINGS.strays,
      [
        listBlock(
          report.strays.map((stray) => `${stray.path} (${count(stray.size, 'byte')})`),
          options,
        ),
      ],
      options,
    ),
    ...(options.detail
      ? section(
          HEADINGS.firmware,
          report.firmware.map((row) => firmwareBlock(row, options)),
          options,
        )
      : []),
    styled('bold', view.summary, options),
  ];
  return `${blocks.join('\n\n')}\n`;
}

const MIN_COLUMNS = 20;

/** Reasons shown of a system in the table; the lists below it have them all. */
const MAX_REASONS = 8;

function withFewReasons(line: SystemLine): SystemLine {
  const more = line.why.length - MAX_REASONS;
  if (more <= 0) return line;
  return { ...line, why: [...line.why.slice(0, MAX_REASONS), `and ${String(more)} more`] };
}

/** What changed, and before it what to do where nobody meant to change it. */
function sinceBlocks({ since }: ReportView, options: TableOptions): string[] {
  if (since === null) return [];
  const advice = since.advice === null ? [] : [styled('red', since.advice, options)];
  const lines = [...since.silently, ...since.changes];
  return [...advice, ...section(HEADINGS.since, [listBlock(lines, options)], options)];
}

function workBlocks(view: ReportView, options: TableOptions): string[] {
  const { next } = options;
  return [
    ...section(
      HEADINGS.toDo,
      view.toDo.map((group) => toDoBlock(group, options)),
      options,
    ),
    ...(next === null
      ? []
      : [
          [
            ...wrapIndented(next.text, '', options.columns),
            ...wrapIndented(next.command, '  ', options.columns),
          ].join('\n'),
        ]),
    ...section(
      HEADINGS.content,
      [view.content.map((line) => contentBlock(line, options)).join('\n')],
      options,
    ),
  ];
}

function systemsBlock(systems: readonly SystemLine[], options: TableOptions): string {
  const columns = [
    { title: 'System', atLeast: 12 },
    { title: 'Readiness' },
    { title: 'Required' },
    { title: 'Optional' },
    { title: 'Why', atLeast: 24 },
  ];
  const rows = systems.map((line): Cell[] => [
    { text: escapeText(line.name) },
    {
      text: line.readiness,
      paint: (text) => options.paint(READINESS_STYLE[line.readiness], text),
    },
    { text: line.required },
    { text: line.optional },
    { text: line.why.map(escapeText).join('\n') },
  ]);
  const table = drawTable(columns, rows, {
    ...options,
    paintHead: (text) => options.paint('dim', text),
  });
  return table ?? systems.map((line) => stacked(line, options)).join('\n');
}

/** For a terminal too narrow for columns. */
function stacked(line: SystemLine, options: TableOptions): string {
  const style = READINESS_STYLE[line.readiness];
  const [first = '', ...more] = wrapIndented(
    [
      line.readiness,
      ...(line.required === '' ? [] : [`required ${line.required}`]),
      ...(line.optional === '' ? [] : [`optional ${line.optional}`]),
    ].join(', '),
    '  ',
    options.columns,
  );
  return [
    ...wrapIndented(line.name, '', options.columns).map((part) => options.paint('bold', part)),
    first.replace(line.readiness, (word) => options.paint(style, word)),
    ...more,
    ...line.why.flatMap((why) => wrapIndented(why, '  ', options.columns)),
  ].join('\n');
}

/** What the words of the table mean, those that occur. */
function legendBlock({ legend }: ReportView, options: TableOptions): string[] {
  if (legend.length === 0) return [];
  const lines = legend.map(({ word, meaning }) => `${word}: ${meaning}`);
  return [
    lines
      .flatMap((line) => wrapHanging(line, options.columns))
      .map((line) => options.paint('dim', line))
      .join('\n'),
  ];
}

function toDoBlock(group: ToDoGroup, options: TableOptions): string {
  return [
    styled('bold', `${group.text}${group.optional ? ' (optional)' : ''}`, options),
    ...group.items.flatMap((item) => toDoLines(item, options)),
  ].join('\n');
}

function toDoLines(item: ToDoItem, options: TableOptions): string[] {
  const { row, words, text, orElse, systems } = item;
  const others = orElse.length === 0 ? '' : `, or one of ${orElse.join(', ')}`;
  const about = `${row.id}: ${words}, for ${systems.join(', ')}${others}`;
  // The advice or the heading names the path of most.
  const path = row.judged ?? row.expectedPath;
  const isNamed = [text ?? '', row.advice?.text ?? ''].some((said) => said.includes(path));
  return [
    ...wrapIndented(text ?? about, '  ', options.columns),
    ...(text === null ? [] : wrapIndented(about, '    ', options.columns)),
    ...(isNamed ? [] : labelled('path', path, options)),
    ...row.facts.flatMap((fact) => labelled('fact', fact.text, options)),
    ...(row.note === null ? [] : labelled('note', row.note, options)),
  ];
}

function contentBlock(line: ContentLine, options: TableOptions): string {
  const more = options.detail
    ? [
        ...line.withoutPicture.map((path) => `without a picture: ${path}`),
        ...line.withoutFile.map((path) => `a picture of nothing: ${path}`),
      ]
    : [];
  return [
    ...wrapHanging(escapeText(line.text), options.columns),
    ...[...line.facts, ...more].flatMap((text) => wrapIndented(text, '  ', options.columns)),
  ].join('\n');
}

function firmwareBlock(row: FirmwareRow, options: TableOptions): string {
  const name = dumpNameOf(row);
  const style = row.verdict === 'match' ? 'green' : row.verdict === 'unverified' ? 'yellow' : 'red';
  const head = `${row.id}: ${verdictWords(row.verdict, row.diagnosis)}${name === null ? '' : ` (${name})`}`;
  const digests = ALGORITHMS.flatMap((algorithm) => {
    const digest = row.digests?.[algorithm];
    return digest === undefined ? [] : labelled(ALGORITHM_NAMES[algorithm], digest, options);
  });
  const { judged, foundAt, expectedPath } = row;
  return [
    styled(style, head, options),
    ...labelled('path', judged ?? expectedPath, options),
    ...(judged === null || judged === expectedPath
      ? []
      : labelled('expected', expectedPath, options)),
    ...(row.size === null ? [] : labelled('size', count(row.size, 'byte'), options)),
    ...digests,
    ...(foundAt === null || foundAt === judged ? [] : labelled('right at', foundAt, options)),
    ...row.facts.flatMap((fact) => labelled('fact', fact.text, options)),
    ...(row.note === null ? [] : labelled('note', row.note, options)),
  ].join('\n');
}

function section(title: string, blocks: readonly string[], options: TableOptions): string[] {
  const filled = blocks.filter((block) => block !== '');
  return filled.length === 0 ? [] : [styled('bold', title, options), ...filled];
}

function styled(style: PaintStyle, text: string, options: TableOptions): string {
  return styledLines(style, text, '', options).join('\n');
}

function listBlock(lines: readonly string[], options: TableOptions): string {
  return lines.flatMap((line) => wrapHanging(escapeText(line), options.columns)).join('\n');
}
