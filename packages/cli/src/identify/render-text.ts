import {
  recognitionOf,
  type Identification,
  type IdentificationDocument,
  type Manifest,
  type Recognition,
} from '@firmtally/core';
import { count, dumpName, placeInside } from '@firmtally/core/internal';
import { wrapIndented } from '../terminal/wrap.js';

export interface TextOptions {
  /** Cells of the terminal. */
  readonly columns: number;
  /** Also names the files that are not in the manifests. */
  readonly all: boolean;
  /** What to type next; null when there is nothing that can be placed. */
  readonly next: string | null;
  readonly paint: (style: 'bold' | 'dim' | 'green' | 'red', text: string) => string;
}

/** Narrower than this no layout helps. */
const MIN_COLUMNS = 20;

/** How much there is of what and what comes next; what needs attention; what was recognised; the summary again. Every line fits the width. */
export function renderText(
  document: IdentificationDocument,
  manifest: Manifest,
  given: TextOptions,
): string {
  const options = { ...given, columns: Math.max(MIN_COLUMNS, given.columns) };
  const filesOf = (wanted: Recognition): Identification[] =>
    document.files.filter((file) => recognitionOf(file) === wanted);
  const sections = [
    ...section('Needs attention', filesOf('needs-attention'), options, (file) =>
      needsAttention(file, options),
    ),
    ...section('Recognised', filesOf('recognised'), options, (file) =>
      recognised(file, manifest, options),
    ),
    ...section(
      'Not in the manifests',
      othersToShow(filesOf('unrelated'), options),
      options,
      (file) => facts(file, options),
    ),
  ];
  const head = [summary(document, options), ...nextLines(options)].join('\n');
  const blocks = sections.length === 0 ? [head] : [head, ...sections, summary(document, options)];
  return `${blocks.join('\n\n')}\n`;
}

/** Only those of which there is something to say, unless all are asked for. */
function othersToShow(
  files: readonly Identification[],
  { all }: TextOptions,
): readonly Identification[] {
  return all ? files : files.filter((file) => file.facts.length > 0);
}

function nextLines({ next, columns, paint }: TextOptions): string[] {
  if (next === null) return [];
  return [
    ...wrapIndented('To put what was found where it belongs:', '', columns),
    ...wrapIndented(next, '  ', columns).map((line) => paint('bold', line)),
  ];
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

function nameOf({ path, inside }: Identification): string {
  return placeInside(path, inside);
}

function recognised(file: Identification, manifest: Manifest, options: TextOptions): string[] {
  const lines = file.firmware.flatMap(({ id, dump, systems }) => {
    const name = dumpName(manifest.firmware.get(id), dump);
    const which = name === null ? id : `${id} (${name})`;
    const what = dump === null ? `${id}, by its members` : which;
    const names = systems.map((system) => manifest.systems.get(system)?.name ?? system);
    const text = names.length === 0 ? what : `${what}, for ${names.join(', ')}`;
    return wrapIndented(text, '  ', options.columns).map((line) => options.paint('green', line));
  });
  return [...lines, ...facts(file, options)];
}

function needsAttention(file: Identification, options: TextOptions): string[] {
  const what = file.diagnosis === null ? '' : `: ${file.diagnosis}`;
  const head = wrapIndented(`${file.nearest ?? ''}${what}`, '  ', options.columns);
  return [
    ...head.map((line) => options.paint('red', line)),
    ...facts(file, options),
    ...(file.advice === null ? [] : labelled('do', file.advice.text, options)),
  ];
}

function facts(file: Identification, options: TextOptions): string[] {
  return file.facts.flatMap(({ text }) => labelled('fact', text, options));
}

function labelled(label: string, text: string, options: TextOptions): string[] {
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
