import { ALGORITHMS } from '../digest/engine.js';
import { dumpName } from '../manifest/dump-name.js';
import { escapeText } from '../text/escape.js';
import { HTML_STYLE } from './html-style.js';
import type { FirmwareRow, Report } from './model.js';
import type { RenderOptions } from './render-markdown.js';
import { viewOf, type SystemLine, type TodoItem } from './view.js';
import { CAUTIONS, count, verdictWords } from './words.js';

/**
 * One self-contained page: no script, nothing loaded, readable on a phone. Every
 * name is untrusted and passes through {@link html}, and a policy in the page
 * keeps a browser from running or loading anything even so. With `detail` the
 * table of every firmware is open, else folded away.
 */
export function renderHtml(report: Report, options: RenderOptions = {}): string {
  const view = viewOf(report);
  const title = report.manifests.find((source) => source.title !== null)?.title ?? report.root;
  const body = [
    '<header>',
    `<h1>Firmware readiness: ${html(title)}</h1>`,
    `<p class="soft">Folder <code>${html(report.root)}</code>${
      report.selection.loadout === null
        ? ''
        : `, loadout <code>${html(report.selection.loadout)}</code>`
    }</p>`,
    `<p class="summary">${html(view.summary)}</p>`,
    '</header>',
    '<main>',
    systemsTable(view.systems),
    ...section('What to do', view.todo.map(task)),
    ...list('Content', view.content),
    ...list('Since the earlier report', view.since),
    ...list(
      'Could not be read',
      report.faults.map(({ path, message }) => `${path === '' ? report.root : path}: ${message}`),
    ),
    ...list(
      'Strays',
      report.strays.map(({ path, size }) => `${path} (${count(size, 'byte')})`),
    ),
    `<details${options.detail === true ? ' open' : ''}>`,
    `<summary>Every firmware (${String(report.firmware.length)})</summary>`,
    firmwareTable(report.firmware, options),
    '</details>',
    '</main>',
    '<footer>',
    ...CAUTIONS.map((caution) => `<p>${html(caution)}</p>`),
    `<p>Made by ${html(report.tool.name)} ${html(report.tool.version)}.</p>`,
    '</footer>',
  ];
  return [
    '<!doctype html>',
    '<html lang="en">',
    '<head>',
    '<meta charset="utf-8">',
    `<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'">`,
    '<meta name="viewport" content="width=device-width, initial-scale=1">',
    `<title>Firmware readiness: ${html(title)}</title>`,
    `<style>${HTML_STYLE}</style>`,
    '</head>',
    '<body>',
    ...body,
    '</body>',
    '</html>',
    '',
  ].join('\n');
}

function systemsTable(systems: readonly SystemLine[]): string {
  return table(
    ['System', 'Readiness', 'Required', 'Optional', 'Why'],
    systems.map((line) => [
      html(line.name),
      `<span class="status ${line.readiness}">${line.readiness}</span>`,
      line.required,
      line.optional,
      line.why.map(html).join('<br>'),
    ]),
  );
}

function task({ row, words, systems, optional }: TodoItem): string {
  const facts: [string, string][] = [['Expected', `<code>${html(row.expectedPath)}</code>`]];
  if (row.foundAt !== null && row.foundAt !== row.expectedPath) {
    facts.push(['Found', `<code>${html(row.foundAt)}</code>`]);
  }
  for (const fact of row.detail) facts.push(['Fact', html(fact)]);
  facts.push(['For', html(systems.join(', '))]);
  return [
    `<article class="task${optional ? ' optional' : ''}">`,
    `<h3>${html(row.id)}: ${html(words)}${optional ? ' (optional)' : ''}</h3>`,
    `<p>${html(row.advice ?? '')}</p>`,
    `<dl>${facts.map(([name, value]) => `<dt>${name}</dt><dd>${value}</dd>`).join('')}</dl>`,
    '</article>',
  ].join('\n');
}

function firmwareTable(rows: readonly FirmwareRow[], { manifest }: RenderOptions): string {
  return table(
    ['Firmware', 'Verdict', 'Dump', 'Expected path', 'Found at', 'Bytes', 'Digests'],
    rows.map((row) => [
      html(row.id),
      html(verdictWords(row.verdict, row.diagnosis)),
      html(dumpName(manifest?.firmware.get(row.id), row.dump) ?? ''),
      `<code>${html(row.expectedPath)}</code>`,
      row.foundAt === null ? '' : `<code>${html(row.foundAt)}</code>`,
      row.size === null ? '' : String(row.size),
      ALGORITHMS.flatMap((algorithm) => {
        const digest = row.digests?.[algorithm];
        return digest === undefined ? [] : [`${algorithm} <code>${html(digest)}</code>`];
      }).join('<br>'),
    ]),
  );
}

/** On a narrow screen the cells stand below each other, each with its column's name. */
function table(head: readonly string[], rows: readonly (readonly string[])[]): string {
  const cells = (row: readonly string[]): string =>
    row.map((cell, column) => `<td data-label="${html(head[column] ?? '')}">${cell}</td>`).join('');
  return [
    '<table>',
    `<thead><tr>${head.map((name) => `<th scope="col">${name}</th>`).join('')}</tr></thead>`,
    '<tbody>',
    ...rows.map((row) => `<tr>${cells(row)}</tr>`),
    '</tbody>',
    '</table>',
  ].join('\n');
}

function section(title: string, blocks: readonly string[]): string[] {
  return blocks.length === 0
    ? []
    : ['<section>', `<h2>${html(title)}</h2>`, ...blocks, '</section>'];
}

function list(title: string, lines: readonly string[]): string[] {
  if (lines.length === 0) return [];
  const items = lines.map((line) => `<li>${html(line)}</li>`);
  return section(title, [`<ul>\n${items.join('\n')}\n</ul>`]);
}

const ENTITIES: Readonly<Record<string, string>> = {
  '&': '&amp;',
  '<': '&lt;',
  '>': '&gt;',
  '"': '&quot;',
  "'": '&#39;',
};

/** Untrusted text for element content and quoted attributes (HTML Standard, 13.3 "escaping a string"). */
function html(untrusted: string): string {
  return escapeText(untrusted).replaceAll(/[&<>"']/g, (character) => ENTITIES[character] ?? '');
}
