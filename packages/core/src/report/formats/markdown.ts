import { ALGORITHM_NAMES, ALGORITHMS } from '../../bytes/digests.js';
import { count } from '../../text/count.js';
import { escapeText } from '../../text/escape.js';
import { dumpNameOf } from '../expected.js';
import type { FirmwareRow } from '../model.js';
import type { ContentLine, ReportView } from '../view.js';
import type { ToDoGroup, ToDoItem } from '../view-to-do.js';
import type { ToGetDump, ToGetItem } from '../view-to-get.js';
import { CAUTIONS, HEADINGS, verdictWords } from '../words.js';
import { allBut, type FormatOptions, type ReportFormat } from './format.js';

/** GitHub Flavored Markdown, for an issue, a wiki or a chat. Names cannot become markup. */
export const markdown: ReportFormat = {
  name: 'markdown',
  extension: 'md',
  mediaType: 'text/markdown',
  purpose: 'for an issue, a wiki or a chat',
  carries: allBut(),
  render(view, options = {}) {
    const blocks = [
      `# ${text(view.title)}: firmware readiness`,
      `**${text(view.headline)}**`,
      `Folder: ${text(view.report.root)}`,
      ...alertBlocks(view),
      ...section(HEADINGS.systems, [systemsTable(view)]),
      ...legendBlock(view),
      ...section(HEADINGS.toGet, [view.toGet.map(toGetItem).join('\n')]),
      ...(options.brief === true ? [] : workBlocks(view, options)),
      ...(view.since === null
        ? []
        : section(HEADINGS.since, [view.since.changes.map(bullet).join('\n')])),
      ...section(HEADINGS.faults, [
        view.report.faults.map((f) => bullet(`${f.path}: ${f.message}`)).join('\n'),
      ]),
      ...section(HEADINGS.strays, [
        view.report.strays
          .map((stray) => bullet(`${stray.path} (${count(stray.size, 'byte')})`))
          .join('\n'),
      ]),
      ...(options.detail === true
        ? section(HEADINGS.firmware, [firmwareTable(view.report.firmware)])
        : []),
      CAUTIONS.map((caution) => `> ${text(caution)}`).join('\n'),
    ];
    return `${blocks.join('\n\n')}\n`;
  },
};

/** What comes before all else. */
function alertBlocks({ since, hints }: ReportView): string[] {
  return [
    ...(since === null || since.advice === null
      ? []
      : [`> **${text(since.advice)}**`, since.silently.map(bullet).join('\n')]),
    ...hints.map((hint) => `> **${text(hint)}**`),
  ];
}

function workBlocks(view: ReportView, options: FormatOptions): string[] {
  return [
    ...section(HEADINGS.toDo, [view.toDo.map(toDoGroup).join('\n')]),
    ...section(HEADINGS.content, [
      view.content.map((line) => contentItem(line, options)).join('\n'),
    ]),
  ];
}

function systemsTable(view: ReportView): string {
  return table(
    ['System', 'Readiness', 'Required', 'Optional', 'Why'],
    view.systems.map((line) => [
      text(line.name),
      line.readiness === 'ready' ? 'ready' : `**${line.readiness}**`,
      line.required,
      line.optional,
      line.why.map(text).join('<br>'),
    ]),
  );
}

function legendBlock({ legend }: ReportView): string[] {
  if (legend.length === 0) return [];
  return [legend.map(({ word, meaning }) => bullet(`${word}: ${meaning}`)).join('\n')];
}

function toGetItem(item: ToGetItem): string {
  const { files } = item;
  const lead = files.length > 1 ? ['- One of these:'] : [];
  const indent = files.length > 1 ? '  ' : '';
  const lines = files.flatMap(({ firmware, path, note, dumps, members }) => [
    `${indent}- **${text(firmware)}**: ${text(path)}${note === null ? '' : ` (${text(note)})`}`,
    ...dumps.map((dump) => `${indent}  - ${dumpText(dump)}`),
    ...members.flatMap((member) =>
      member.dumps.map((dump) => `${indent}  - member ${text(member.path)}: ${dumpText(dump)}`),
    ),
  ]);
  return [
    ...lead,
    ...lines,
    `  - for ${text(item.systems.join(', '))}${item.optional ? ' (optional)' : ''}`,
    ...item.facts.map((fact) => `  - met instead: ${text(fact)}`),
  ].join('\n');
}

function dumpText({ name, size, checksums }: ToGetDump): string {
  return [
    ...(name === null ? [] : [text(name)]),
    ...(size === null ? [] : [size]),
    ...checksums.map((checksum) => `${checksum.name} \`${checksum.digest}\``),
  ].join(', ');
}

function toDoGroup(group: ToDoGroup): string {
  return [
    `- **${text(group.text)}**${group.optional ? ' (optional)' : ''}`,
    ...group.items.map(toDoItem),
  ].join('\n');
}

function toDoItem({ row, words, text: own, orElse, systems }: ToDoItem): string {
  const found = row.foundAt === null || row.foundAt === row.expectedPath ? null : row.foundAt;
  const others = orElse.length === 0 ? '' : `, or one of ${orElse.join(', ')}`;
  return [
    `  - **${text(row.id)}**: ${text(words)}, for ${text(systems.join(', '))}${text(others)}`,
    ...(own === null ? [] : [`    - ${text(own)}`]),
    `    - expected: ${text(row.expectedPath)}${found === null ? '' : `; found: ${text(found)}`}`,
    ...row.facts.map((fact) => `    - ${text(fact.text)}`),
    ...(row.note === null ? [] : [`    - note: ${text(row.note)}`]),
  ].join('\n');
}

function contentItem(line: ContentLine, { detail }: FormatOptions): string {
  return [
    bullet(line.text),
    ...line.facts.map((fact) => `  ${bullet(fact)}`),
    ...(detail === true
      ? [
          ...line.withoutPicture.map((path) => `  ${bullet(`without a picture: ${path}`)}`),
          ...line.withoutFile.map((path) => `  ${bullet(`a picture of nothing: ${path}`)}`),
        ]
      : []),
  ].join('\n');
}

function firmwareTable(rows: readonly FirmwareRow[]): string {
  return table(
    [
      'Firmware',
      'Verdict',
      'Dump',
      'Expected path',
      'Found at',
      'Judged',
      'Bytes',
      'Checksums',
      'Facts',
    ],
    rows.map((row) => [
      text(row.id),
      text(verdictWords(row.verdict, row.diagnosis)),
      text(dumpNameOf(row) ?? ''),
      text(row.expectedPath),
      text(row.foundAt ?? ''),
      text(row.judged ?? ''),
      row.size === null ? '' : String(row.size),
      ALGORITHMS.flatMap((algorithm) => {
        const digest = row.digests?.[algorithm];
        return digest === undefined ? [] : [`${ALGORITHM_NAMES[algorithm]} \`${digest}\``];
      }).join('<br>'),
      row.facts.map((fact) => text(fact.text)).join('<br>'),
    ]),
  );
}

function section(title: string, blocks: readonly string[]): string[] {
  const filled = blocks.filter((block) => block !== '');
  return filled.length === 0 ? [] : [`## ${title}`, ...filled];
}

function bullet(line: string): string {
  return `- ${text(line)}`;
}

function table(head: readonly string[], rows: readonly (readonly string[])[]): string {
  const line = (cells: readonly string[]): string => `| ${cells.join(' | ')} |`;
  return [line(head), line(head.map(() => '---')), ...rows.map(line)].join('\n');
}

/**
 * Backslash escapes (CommonMark 0.31, 2.4) for what could begin inline markup,
 * an entity, a table cell (GFM 4.10) or an autolink (GFM 6.9). An underscore
 * inside a word is never emphasis and stays readable.
 */
function text(untrusted: string): string {
  return escapeText(untrusted)
    .replaceAll(/[\\`*[\]<>|&~@!#$]/g, '\\$&')
    .replaceAll(/(?<![\p{L}\p{N}])_|_(?![\p{L}\p{N}])/gu, '\\_')
    .replaceAll('://', '\\://')
    .replaceAll(/www\./gi, (www) => `${www.slice(0, 3)}\\.`);
}
