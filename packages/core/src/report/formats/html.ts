import { count } from '../../text/count.js';
import type { ContentLine, ReportView, SystemLine } from '../view.js';
import { CAUTION, CAUTIONS, HEADINGS } from '../words.js';
import { allBut, type FormatOptions, type ReportFormat } from './format.js';
import { firmwareCard, toDoCard, toGetCard } from './html-cards.js';
import { contents } from './html-contents.js';
import { HTML_STYLE } from './html-style.js';
import {
  breakable,
  breakablePath,
  escaped,
  factList,
  firstBlocks,
  firstOf,
  firstTexts,
} from './html-text.js';

/**
 * One self-contained page: no script, nothing loaded, readable on a phone. Every
 * name is untrusted and passes through {@link escaped}, and a policy in the page
 * keeps a browser from running or loading anything even so. With `detail` the
 * list of every firmware is open, else folded away.
 */
export const html: ReportFormat = {
  name: 'html',
  extension: 'html',
  mediaType: 'text/html',
  purpose: 'a page to look at, to print or to pass on',
  carries: allBut(),
  render: (view, options = {}) =>
    [
      '<!doctype html>',
      '<html lang="en">',
      '<head>',
      '<meta charset="utf-8">',
      `<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'">`,
      '<meta name="viewport" content="width=device-width, initial-scale=1">',
      `<title>Firmware readiness: ${escaped(view.title)}</title>`,
      `<style>${HTML_STYLE}</style>`,
      '</head>',
      '<body class="report">',
      htmlBody(view, options),
      '</body>',
      '</html>',
      '',
    ].join('\n'),
};

/**
 * What stands in the page's body, for a page that has a head of its own and {@link HTML_STYLE}.
 *
 * @example
 * const main = htmlBody(viewOf(report));
 * main.includes('<h1>'); // => true
 */
export function htmlBody(view: ReportView, options: FormatOptions = {}): string {
  const { report } = view;
  const { atMost } = options;
  const loadout = view.loadout === null ? '' : `, loadout <b>${escaped(view.loadout)}</b>`;
  return [
    '<header>',
    `<h1>${escaped(view.title)}</h1>`,
    `<p class="soft">Firmware readiness of <code>${breakablePath(report.root)}</code>${loadout}</p>`,
    `<p class="summary">${wholeWords(view.summary)}</p>`,
    '</header>',
    '<main>',
    ...alerts(view, options),
    ...contents(view, options),
    ...section(
      'to-get',
      HEADINGS.toGet,
      cautioned(
        CAUTION.getting,
        cards(view.toGet, atMost, (item, index) => toGetCard(item, `get-${String(index)}`, atMost)),
      ),
    ),
    ...(options.brief === true
      ? []
      : section(
          'to-do',
          HEADINGS.toDo,
          cautioned(
            CAUTION.changing,
            cards(view.toDo, atMost, (group, index) =>
              toDoCard(group, `do-${String(index)}`, atMost),
            ),
          ),
        )),
    ...section('systems', HEADINGS.systems, systemsBlocks(view, options)),
    ...(options.brief === true
      ? []
      : section(
          'content',
          HEADINGS.content,
          firstBlocks(view.content, atMost, (line) => contentBlock(line, options)),
        )),
    ...list('since', HEADINGS.since, view.since?.changes ?? [], atMost),
    ...list(
      'faults',
      HEADINGS.faults,
      report.faults.map(
        (fault) => `${fault.path === '' ? report.root : fault.path}: ${fault.message}`,
      ),
      atMost,
    ),
    ...list(
      'strays',
      HEADINGS.strays,
      report.strays.map((stray) => `${stray.path} (${count(stray.size, 'byte')})`),
      atMost,
    ),
    '<section aria-labelledby="firmware">',
    `<h2 id="firmware">${HEADINGS.firmware}</h2>`,
    `<details${options.detail === true ? ' open' : ''}>`,
    `<summary>${count(report.firmware.length, 'entry', 'entries')}, with checksums</summary>`,
    ...cards(report.firmware, atMost, firmwareCard),
    '</details>',
    '</section>',
    '</main>',
    '<footer>',
    ...CAUTIONS.map((caution) => `<p>${escaped(caution)}</p>`),
    `<p>Made by ${escaped(report.tool.name)} ${escaped(report.tool.version)}.</p>`,
    '</footer>',
  ].join('\n');
}

/** A summary in which no line ends after the hyphen of a word. */
function wholeWords(summary: string): string {
  return escaped(summary).replaceAll('not-ready', '<span class="word">not-ready</span>');
}

/** What comes before all else. */
function alerts({ since, hints }: ReportView, { atMost }: FormatOptions): string[] {
  const advice = since?.advice ?? null;
  return [
    ...(advice === null
      ? []
      : [
          '<section class="alert" aria-labelledby="silently">',
          `<h2 id="silently">${escaped(advice)}</h2>`,
          ...items(since?.silently ?? [], atMost),
          '</section>',
        ]),
    ...(hints.length === 0
      ? []
      : [
          '<section class="alert hint" aria-labelledby="hints">',
          `<h2 id="hints">${HEADINGS.hints}</h2>`,
          ...hints.map((hint) => `<p>${escaped(hint)}</p>`),
          '</section>',
        ]),
  ];
}

function systemsBlocks(view: ReportView, options: FormatOptions): string[] {
  const open = view.systems.filter(({ readiness }) => readiness !== 'ready');
  const ready = view.systems.filter(({ readiness }) => readiness === 'ready');
  const links = tasksOf(view, options);
  return [
    ...(open.length === 0
      ? []
      : [systemsTable('Systems that are not ready', open, links, options)]),
    ...(view.legend.length === 0 ? [] : [legend(view)]),
    ...(ready.length === 0
      ? []
      : [
          `<details${open.length === 0 ? ' open' : ''}>`,
          `<summary>${count(ready.length, 'system')} ready</summary>`,
          systemsTable('Systems that are ready', ready, links, options),
          '</details>',
        ]),
  ];
}

/** Links to what is to be got and done, by system. */
function tasksOf(view: ReportView, options: FormatOptions): Links {
  const links = new Map<string, Set<string>>();
  const add = (system: string, link: string): void => {
    const known = links.get(system);
    if (known === undefined) links.set(system, new Set([link]));
    else known.add(link);
  };
  for (const [index, item] of view.toGet.slice(0, options.atMost).entries()) {
    const what = item.files.map(({ firmware }) => firmware).join(' or ');
    const link = `<a href="#get-${String(index)}">get ${escaped(what)}</a>`;
    for (const system of item.systemIds) add(system, link);
  }
  if (options.brief === true) return links;
  for (const [index, group] of view.toDo.slice(0, options.atMost).entries()) {
    for (const { row, systemIds } of group.items) {
      const link = `<a href="#do-${String(index)}">fix ${escaped(row.id)}</a>`;
      for (const system of systemIds) add(system, link);
    }
  }
  return links;
}

type Links = ReadonlyMap<string, ReadonlySet<string>>;

/** On a narrow screen the cells stand below each other, each with its column's name. */
function systemsTable(
  caption: string,
  systems: readonly SystemLine[],
  links: Links,
  { atMost }: FormatOptions,
): string {
  const head = ['System', 'Readiness', 'Required', 'Optional', 'Why'];
  const drawn = (line: SystemLine): string => {
    const tasks = firstTexts([...(links.get(line.id) ?? [])], atMost, (link) => link).join(' ');
    const reasons = firstTexts(line.why, atMost, breakable);
    const cells = [
      `<span class="status ${line.readiness}">${line.readiness}</span>`,
      line.required,
      line.optional,
      [...reasons, ...(tasks === '' ? [] : [tasks])].join('<br>'),
    ];
    const rest = cells.map(
      (cell, index) =>
        `<td${classOf(cell, head[index + 1])} data-label="${head[index + 1] ?? ''}">${cell}</td>`,
    );
    return `<tr><th scope="row">${breakable(line.name)}</th>${rest.join('')}</tr>`;
  };
  return [
    '<table>',
    `<caption>${caption}</caption>`,
    `<thead><tr>${head.map((name) => `<th scope="col">${name}</th>`).join('')}</tr></thead>`,
    '<tbody>',
    ...firstOf(systems, atMost, drawn, (text) => `<tr><td colspan="5">${text}</td></tr>`),
    '</tbody>',
    '</table>',
  ].join('\n');
}

function classOf(cell: string, column: string | undefined): string {
  if (cell === '') return ' class="none"';
  return column === 'Required' || column === 'Optional' ? ' class="count"' : '';
}

function legend(view: ReportView): string {
  return [
    '<details>',
    '<summary>What these words mean</summary>',
    `<div class="legend">${factList(view.legend.map(({ word, meaning }) => [word, escaped(meaning)]))}</div>`,
    '</details>',
  ].join('\n');
}

function contentBlock(line: ContentLine, options: FormatOptions): string {
  return [
    `<p>${breakable(line.text)}</p>`,
    ...items(line.facts, options.atMost),
    ...(options.detail === true
      ? [
          ...folded('Without a picture', line.withoutPicture, options),
          ...folded('Pictures of nothing', line.withoutFile, options),
        ]
      : []),
  ].join('\n');
}

function folded(title: string, paths: readonly string[], { atMost }: FormatOptions): string[] {
  if (paths.length === 0) return [];
  return [
    `<details><summary>${title} (${String(paths.length)})</summary>`,
    ...items(paths, atMost),
    '</details>',
  ];
}

/** What is to be kept in mind stands before what it is about. */
function cautioned(caution: string, blocks: readonly string[]): string[] {
  return blocks.length === 0 ? [] : [`<p class="soft">${escaped(caution)}</p>`, ...blocks];
}

/** Beside each other where there is room. */
function cards<Item>(
  all: readonly Item[],
  atMost: FormatOptions['atMost'],
  draw: (item: Item, index: number) => string,
): string[] {
  return all.length === 0
    ? []
    : ['<div class="cards">', ...firstBlocks(all, atMost, draw), '</div>'];
}

function section(id: string, title: string, blocks: readonly string[]): string[] {
  if (blocks.length === 0) return [];
  return [
    `<section aria-labelledby="${id}">`,
    `<h2 id="${id}">${title}</h2>`,
    ...blocks,
    '</section>',
  ];
}

function list(
  id: string,
  title: string,
  lines: readonly string[],
  atMost: FormatOptions['atMost'],
): string[] {
  return section(id, title, items(lines, atMost));
}

function items(lines: readonly string[], atMost: FormatOptions['atMost']): string[] {
  if (lines.length === 0) return [];
  const drawn = firstTexts(lines, atMost, breakable).map((line) => `<li>${line}</li>`);
  return [`<ul>\n${drawn.join('\n')}\n</ul>`];
}
