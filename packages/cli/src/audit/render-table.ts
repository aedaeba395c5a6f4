import {
  ALGORITHMS,
  count,
  dumpName,
  escapeText,
  verdictWords,
  viewOf,
  type FirmwareRow,
  type Manifest,
  type Readiness,
  type Report,
  type SystemLine,
  type TodoItem,
} from '@firmtally/core';
import { drawTable, type Cell } from '../terminal/table.js';
import { wrap, wrapHanging, wrapIndented } from '../terminal/wrap.js';

export interface TableOptions {
  /** Cells of the terminal. */
  readonly columns: number;
  readonly ascii: boolean;
  readonly detail: boolean;
  /** What was audited by. */
  readonly manifest: Pick<Manifest, 'firmware'>;
  readonly paint: (style: PaintStyle, text: string) => string;
}

type PaintStyle = 'bold' | 'dim' | 'green' | 'yellow' | 'red';

const READINESS_STYLE: Readonly<Record<Readiness, PaintStyle>> = {
  ready: 'green',
  unproven: 'yellow',
  'not-ready': 'red',
};

/** The report for a terminal: the readiness table, then what to do, the summary last. Every line fits the width. */
export function renderTable(report: Report, given: TableOptions): string {
  // Narrower than this no layout helps.
  const options = { ...given, columns: Math.max(MIN_COLUMNS, given.columns) };
  const view = viewOf(report);
  const blocks = [
    systemsBlock(view.systems.map(withFewReasons), options),
    ...section(
      'What to do',
      view.todo.map((item) => todoBlock(item, options)),
      options,
    ),
    ...section('Content', [listBlock(view.content, options)], options),
    ...section('Since the earlier report', [listBlock(view.since, options)], options),
    ...section(
      'Strays',
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
          'Firmware',
          report.firmware.map((row) => firmwareBlock(row, options)),
          options,
        )
      : []),
    wrapIndented(view.summary, '', options.columns)
      .map((line) => options.paint('bold', line))
      .join('\n'),
  ];
  return `${blocks.join('\n\n')}\n`;
}

const MIN_COLUMNS = 20;

/** Reasons shown of a system in the table; the list below it has them all. */
const MAX_REASONS = 8;

function withFewReasons(line: SystemLine): SystemLine {
  const more = line.why.length - MAX_REASONS;
  if (more <= 0) return line;
  return { ...line, why: [...line.why.slice(0, MAX_REASONS), `and ${String(more)} more`] };
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
  const counts = [
    ...(line.required === '' ? [] : [`required ${line.required}`]),
    ...(line.optional === '' ? [] : [`optional ${line.optional}`]),
  ].join(', ');
  return [
    ...wrapIndented(line.name, '', options.columns).map((part) => options.paint('bold', part)),
    `  ${options.paint(style, line.readiness)}`,
    ...(counts === '' ? [] : wrapIndented(counts, '  ', options.columns)),
    ...line.why.flatMap((why) => wrapIndented(why, '  ', options.columns)),
  ].join('\n');
}

function todoBlock({ row, words, systems, optional }: TodoItem, options: TableOptions): string {
  const head = `${row.id}: ${words}${optional ? ' (optional)' : ''}`;
  const foundAt = row.foundAt === row.expectedPath ? null : row.foundAt;
  return [
    ...wrapIndented(head, '', options.columns).map((line) => options.paint('bold', line)),
    ...labelled('expected', row.expectedPath, options),
    ...(foundAt === null ? [] : labelled('found', foundAt, options)),
    ...row.detail.flatMap((fact) => labelled('fact', fact, options)),
    ...labelled('for', systems.join(', '), options),
    ...labelled('do', row.advice ?? '', options),
  ].join('\n');
}

function firmwareBlock(row: FirmwareRow, options: TableOptions): string {
  const name = dumpName(options.manifest.firmware.get(row.id), row.dump);
  const dump = name === null ? '' : ` (${name})`;
  const style = row.verdict === 'match' ? 'green' : row.verdict === 'unverified' ? 'yellow' : 'red';
  const head = `${row.id}: ${verdictWords(row.verdict, row.diagnosis)}${dump}`;
  const digests = ALGORITHMS.flatMap((algorithm) => {
    const digest = row.digests?.[algorithm];
    return digest === undefined ? [] : labelled(algorithm, digest, options);
  });
  return [
    ...wrapIndented(head, '', options.columns).map((line) => options.paint(style, line)),
    ...labelled('path', row.foundAt ?? row.expectedPath, options),
    ...(row.size === null ? [] : labelled('size', count(row.size, 'byte'), options)),
    ...digests,
    ...row.detail.flatMap((fact) => labelled('fact', fact, options)),
  ].join('\n');
}

function section(title: string, blocks: readonly string[], options: TableOptions): string[] {
  const filled = blocks.filter((block) => block !== '');
  const head = wrapIndented(title, '', options.columns).map((line) => options.paint('bold', line));
  return filled.length === 0 ? [] : [head.join('\n'), ...filled];
}

function listBlock(lines: readonly string[], options: TableOptions): string {
  return lines.flatMap((line) => wrapHanging(escapeText(line), options.columns)).join('\n');
}

/** `  expected  system/firmware/a.bin`, its value wrapped in a column of its own where there is room for one. */
function labelled(label: string, value: string, options: TableOptions): string[] {
  const indent = 2 + LABEL;
  if (options.columns < indent + 24)
    return wrapIndented(`${label}: ${value}`, '  ', options.columns);
  const lines = wrap(escapeText(value), options.columns - indent);
  return lines.map((line, index) =>
    index === 0
      ? `  ${options.paint('dim', label.padEnd(LABEL))}${line}`
      : `${' '.repeat(indent)}${line}`,
  );
}

const LABEL = 'expected  '.length;
