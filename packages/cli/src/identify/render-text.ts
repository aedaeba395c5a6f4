import {
  count,
  dumpName,
  recognitionOf,
  type Identification,
  type IdentificationDocument,
  type Manifest,
  type Recognition,
} from '@firmtally/core';
import { wrapIndented } from '../terminal/wrap.js';

export interface TextOptions {
  /** Cells of the terminal. */
  readonly columns: number;
  /** Also names the files that are not in the manifests. */
  readonly all: boolean;
  readonly paint: (style: 'bold' | 'dim' | 'green' | 'red', text: string) => string;
}

/** Narrower than this no layout helps. */
const MIN_COLUMNS = 20;

/** What was recognised, then what needs attention and what to do, the summary last. Every line fits the width. */
export function renderText(
  document: IdentificationDocument,
  manifest: Manifest,
  given: TextOptions,
): string {
  const options = { ...given, columns: Math.max(MIN_COLUMNS, given.columns) };
  const filesOf = (wanted: Recognition): Identification[] =>
    document.files.filter((file) => recognitionOf(file) === wanted);
  const blocks = [
    ...section('Recognised', filesOf('recognised'), options, (file) =>
      recognised(file, manifest, options),
    ),
    ...section('Needs attention', filesOf('needs-attention'), options, (file) =>
      needsAttention(file, options),
    ),
    ...(options.all
      ? section('Not in the manifests', filesOf('unrelated'), options, () => [])
      : []),
    summary(document, options),
  ];
  return `${blocks.join('\n\n')}\n`;
}

function section(
  title: string,
  files: readonly Identification[],
  options: TextOptions,
  about: (file: Identification) => string[],
): string[] {
  if (files.length === 0) return [];
  const lines = files.flatMap((file) => [
    ...wrapIndented(nameOf(file), '', options.columns).map((line) => options.paint('bold', line)),
    ...about(file),
  ]);
  return [[options.paint('dim', title), ...lines].join('\n')];
}

function nameOf({ path, member }: Identification): string {
  return member === null ? path : `${path}, member ${member}`;
}

function recognised(file: Identification, manifest: Manifest, options: TextOptions): string[] {
  return file.firmware.flatMap(({ id, dump, systems }) => {
    const name = dumpName(manifest.firmware.get(id), dump);
    const which = name === null ? id : `${id} (${name})`;
    const what = dump === null ? `${id}, by its members` : which;
    const names = systems.map((system) => manifest.systems.get(system)?.name ?? system);
    const text = names.length === 0 ? what : `${what}, for ${names.join(', ')}`;
    return wrapIndented(text, '  ', options.columns).map((line) => options.paint('green', line));
  });
}

function needsAttention(file: Identification, options: TextOptions): string[] {
  const what = file.diagnosis === null ? '' : `: ${file.diagnosis}`;
  const head = wrapIndented(`${file.nearest ?? ''}${what}`, '  ', options.columns);
  return [
    ...head.map((line) => options.paint('red', line)),
    ...labelled('fact', file.detail, options),
    ...labelled('do', file.advice, options),
  ];
}

function labelled(label: string, text: string | null, options: TextOptions): string[] {
  if (text === null) return [];
  const indent = '        ';
  return wrapIndented(text, indent, options.columns).map((line, index) =>
    index === 0 ? `  ${options.paint('dim', label.padEnd(6))}${line.slice(indent.length)}` : line,
  );
}

function summary({ totals, faults }: IdentificationDocument, options: TextOptions): string {
  const parts = [
    `${totals.recognised} recognised`,
    `${totals.needAttention} ${totals.needAttention === 1 ? 'needs' : 'need'} attention`,
    `${totals.unrelated} not in the manifests${
      totals.unrelated > 0 && !options.all ? ' (--all lists them)' : ''
    }`,
  ];
  const unread = faults.length === 0 ? '' : ` ${count(faults.length, 'path')} could not be read.`;
  const skipped =
    totals.notExamined === 0
      ? ''
      : ` ${count(totals.notExamined, 'more file')} could by size be damaged dumps, but there are too many to examine; name fewer.`;
  const text = `${count(totals.files, 'file')}: ${parts.join(', ')}.${unread}${skipped}`;
  return wrapIndented(text, '', options.columns)
    .map((line) => options.paint('bold', line))
    .join('\n');
}
