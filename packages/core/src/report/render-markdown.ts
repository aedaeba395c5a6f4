import { ALGORITHMS } from '../digest/engine.js';
import { dumpName } from '../manifest/dump-name.js';
import type { Manifest } from '../manifest/model.js';
import { escapeText } from '../text/escape.js';
import type { FirmwareRow, Report } from './model.js';
import { viewOf, type TodoItem } from './view.js';
import { CAUTIONS, count, verdictWords } from './words.js';

export interface RenderOptions {
  /** Adds a table of every firmware. */
  readonly detail?: boolean;
  /** What was audited by; with it a dump is named only where the name tells something. */
  readonly manifest?: Pick<Manifest, 'firmware'>;
}

/** GitHub Flavored Markdown, for an issue, a wiki or a chat. Names cannot become markup. */
export function renderMarkdown(report: Report, options: RenderOptions = {}): string {
  const view = viewOf(report);
  const title = report.manifests.find((source) => source.title !== null)?.title ?? report.root;
  const blocks = [
    `# Firmware readiness: ${text(title)}`,
    `**${text(view.summary)}**`,
    table(
      ['System', 'Readiness', 'Required', 'Optional', 'Why'],
      view.systems.map((line) => [
        text(line.name),
        line.readiness === 'ready' ? 'ready' : `**${line.readiness}**`,
        line.required,
        line.optional,
        line.why.map(text).join('<br>'),
      ]),
    ),
    ...section('What to do', view.todo.map(todoItem)),
    ...section('Content', view.content.map(bullet)),
    ...section('Since the earlier report', view.since.map(bullet)),
    ...section(
      'Could not be read',
      report.faults.map((f) => bullet(`${f.path}: ${f.message}`)),
    ),
    ...section(
      'Strays',
      report.strays.map((stray) => bullet(`${stray.path} (${count(stray.size, 'byte')})`)),
    ),
    ...(options.detail === true ? ['## Firmware', firmwareTable(report.firmware, options)] : []),
    CAUTIONS.map((caution) => `> ${text(caution)}`).join('\n'),
  ];
  return `${blocks.join('\n\n')}\n`;
}

function section(title: string, items: readonly string[]): string[] {
  return items.length === 0 ? [] : [`## ${title}`, items.join('\n')];
}

function bullet(line: string): string {
  return `- ${text(line)}`;
}

function todoItem({ row, words, systems, optional }: TodoItem): string {
  const places =
    row.foundAt === null || row.foundAt === row.expectedPath
      ? row.expectedPath
      : `${row.expectedPath}; found: ${row.foundAt}`;
  return [
    `- **${text(row.id)}**: ${text(words)}${optional ? ' (optional)' : ''}, for ${text(systems.join(', '))}`,
    `  - expected: ${text(places)}`,
    ...row.detail.map((fact) => `  - ${text(fact)}`),
    `  - **${text(row.advice ?? '')}**`,
  ].join('\n');
}

function firmwareTable(rows: readonly FirmwareRow[], { manifest }: RenderOptions): string {
  return table(
    ['Firmware', 'Verdict', 'Dump', 'Expected path', 'Found at', 'Bytes', 'Digests'],
    rows.map((row) => [
      text(row.id),
      text(verdictWords(row.verdict, row.diagnosis)),
      text(dumpName(manifest?.firmware.get(row.id), row.dump) ?? ''),
      text(row.expectedPath),
      text(row.foundAt ?? ''),
      row.size === null ? '' : String(row.size),
      ALGORITHMS.flatMap((algorithm) => {
        const digest = row.digests?.[algorithm];
        return digest === undefined ? [] : [`${algorithm} \`${digest}\``];
      }).join('<br>'),
    ]),
  );
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
