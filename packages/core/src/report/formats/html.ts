import { ALGORITHMS } from '../../bytes/digests.js';
import { escapeText } from '../../text/escape.js';
import { dumpNameOf } from '../expected.js';
import type { FirmwareRow } from '../model.js';
import type { ContentLine, ReportView, SystemLine } from '../view.js';
import type { ToDoGroup, ToDoItem } from '../view-to-do.js';
import type { ToGetDump, ToGetFile, ToGetItem } from '../view-to-get.js';
import { ALGORITHM_NAMES, CAUTIONS, count, HEADINGS, verdictWords } from '../words.js';
import { allBut, type FormatOptions, type ReportFormat } from './format.js';
import { HTML_STYLE } from './html-style.js';

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

/** What stands in the page's body, for a page that has a head of its own and {@link HTML_STYLE}. */
export function htmlBody(view: ReportView, options: FormatOptions = {}): string {
  const { report } = view;
  const loadout = view.loadout === null ? '' : `, loadout <b>${escaped(view.loadout)}</b>`;
  return [
    '<header>',
    `<h1>${escaped(view.title)}</h1>`,
    `<p class="soft">Firmware readiness of <code>${path(report.root)}</code>${loadout}</p>`,
    `<p class="summary">${escaped(view.summary)}</p>`,
    '</header>',
    '<main>',
    ...alerts(view),
    ...contents(view, options),
    ...section(
      'to-get',
      HEADINGS.toGet,
      view.toGet.map((item, index) => toGetCard(item, `get-${String(index)}`)),
    ),
    ...(options.brief === true
      ? []
      : section(
          'to-do',
          HEADINGS.toDo,
          view.toDo.map((group, index) => toDoCard(group, `do-${String(index)}`)),
        )),
    ...section('systems', HEADINGS.systems, systemsBlocks(view, options)),
    ...(options.brief === true
      ? []
      : section(
          'content',
          HEADINGS.content,
          view.content.map((line) => contentBlock(line, options)),
        )),
    ...list('since', HEADINGS.since, view.since?.changes ?? []),
    ...list(
      'faults',
      HEADINGS.faults,
      report.faults.map(
        (fault) => `${fault.path === '' ? report.root : fault.path}: ${fault.message}`,
      ),
    ),
    ...list(
      'strays',
      HEADINGS.strays,
      report.strays.map((stray) => `${stray.path} (${count(stray.size, 'byte')})`),
    ),
    '<section aria-labelledby="firmware">',
    `<h2 id="firmware">${HEADINGS.firmware}</h2>`,
    `<details${options.detail === true ? ' open' : ''}>`,
    `<summary>${count(report.firmware.length, 'entry', 'entries')}, with checksums</summary>`,
    ...report.firmware.map(firmwareCard),
    '</details>',
    '</section>',
    '</main>',
    '<footer>',
    ...CAUTIONS.map((caution) => `<p>${escaped(caution)}</p>`),
    `<p>Made by ${escaped(report.tool.name)} ${escaped(report.tool.version)}.</p>`,
    '</footer>',
  ].join('\n');
}

/** What there is below, for whoever looks on a phone. */
function contents(view: ReportView, options: FormatOptions): string[] {
  const toDo = options.brief === true ? 0 : view.toDo.length;
  const links = [
    ['to-get', HEADINGS.toGet, view.toGet.length] as const,
    ['to-do', HEADINGS.toDo, toDo] as const,
    ['systems', HEADINGS.systems, view.systems.length] as const,
  ].flatMap(([id, title, many]) =>
    many === 0 ? [] : [`<li><a href="#${id}">${title} (${String(many)})</a></li>`],
  );
  return ['<nav aria-label="Contents">', '<ul>', ...links, '</ul>', '</nav>'];
}

/** What comes before all else. */
function alerts({ since, hints }: ReportView): string[] {
  const advice = since?.advice ?? null;
  return [
    ...(advice === null
      ? []
      : [
          '<section class="alert" aria-labelledby="silently">',
          `<h2 id="silently">${escaped(advice)}</h2>`,
          ...items(since?.silently ?? []),
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

function toGetCard(item: ToGetItem, id: string): string {
  const choice = item.files.length > 1;
  return [
    `<article class="task get${item.optional ? ' optional' : ''}" id="${id}">`,
    ...(choice ? ['<h3>One of these</h3>'] : []),
    ...item.files.flatMap((file) => toGetFile(file, choice ? 'h4' : 'h3', item.optional)),
    facts([
      ['For', names(item.systems)],
      ...item.facts.map((fact): Fact => ['Met instead', breakable(fact)]),
    ]),
    '</article>',
  ].join('\n');
}

function toGetFile(file: ToGetFile, heading: string, optional: boolean): string[] {
  const single = file.members.length > 0 ? 'a ZIP with these members' : null;
  return [
    `<${heading}><code>${path(file.path)}</code>${optional ? ' <span class="soft">optional</span>' : ''}</${heading}>`,
    ...(file.note === null ? [] : [`<p>${escaped(file.note)}</p>`]),
    facts([
      ['Firmware', escaped(file.firmware)],
      ...(single === null ? [] : [['What', single] as Fact]),
      ...file.dumps.map((dump): Fact => [
        dump.name === null ? 'Expected' : `Expected: ${escaped(dump.name)}`,
        dumpText(dump),
      ]),
      ...file.members.flatMap((member) =>
        member.dumps.map((dump): Fact => [
          `Member <code>${path(member.path)}</code>${dump.name === null ? '' : `, ${escaped(dump.name)}`}`,
          dumpText(dump),
        ]),
      ),
    ]),
  ];
}

function dumpText({ size, checksums }: ToGetDump): string {
  return [
    ...(size === null ? [] : [size]),
    ...checksums.map(({ name, digest }) => `${name} <code>${digest}</code>`),
  ].join('<br>');
}

function toDoCard(group: ToDoGroup, id: string): string {
  return [
    `<article class="task do${group.optional ? ' optional' : ''}" id="${id}">`,
    `<h3>${breakable(group.text)}${group.optional ? ' <span class="soft">optional</span>' : ''}</h3>`,
    ...group.items.flatMap(toDoItem),
    '</article>',
  ].join('\n');
}

function toDoItem({ row, words, text, orElse, systems }: ToDoItem): string[] {
  const found = row.foundAt === null || row.foundAt === row.expectedPath ? null : row.foundAt;
  return [
    ...(text === null ? [] : [`<p>${breakable(text)}</p>`]),
    facts([
      ['Firmware', `${escaped(row.id)}: ${escaped(words)}`],
      ['Expected', `<code>${path(row.expectedPath)}</code>`],
      ...(found === null ? [] : [['Found', `<code>${path(found)}</code>`] as Fact]),
      ...row.facts.map((fact): Fact => ['Fact', breakable(fact.text)]),
      ...(row.note === null ? [] : [['Note', escaped(row.note)] as Fact]),
      ['For', names(systems)],
      ...(orElse.length === 0 ? [] : [['Or one of', names(orElse)] as Fact]),
    ]),
  ];
}

function systemsBlocks(view: ReportView, options: FormatOptions): string[] {
  const open = view.systems.filter(({ readiness }) => readiness !== 'ready');
  const ready = view.systems.filter(({ readiness }) => readiness === 'ready');
  const links = tasksOf(view, options);
  return [
    ...(open.length === 0 ? [] : [systemsTable('Systems that are not ready', open, links)]),
    ...(view.legend.length === 0 ? [] : [legend(view)]),
    ...(ready.length === 0
      ? []
      : [
          `<details${open.length === 0 ? ' open' : ''}>`,
          `<summary>${count(ready.length, 'system')} ready</summary>`,
          systemsTable('Systems that are ready', ready, links),
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
  for (const [index, item] of view.toGet.entries()) {
    const what = item.files.map(({ firmware }) => firmware).join(' or ');
    const link = `<a href="#get-${String(index)}">get ${escaped(what)}</a>`;
    for (const system of item.systemIds) add(system, link);
  }
  if (options.brief === true) return links;
  for (const [index, group] of view.toDo.entries()) {
    for (const { row, systemIds } of group.items) {
      const link = `<a href="#do-${String(index)}">fix ${escaped(row.id)}</a>`;
      for (const system of systemIds) add(system, link);
    }
  }
  return links;
}

type Links = ReadonlyMap<string, ReadonlySet<string>>;

/** On a narrow screen the cells stand below each other, each with its column's name. */
function systemsTable(caption: string, systems: readonly SystemLine[], links: Links): string {
  const head = ['System', 'Readiness', 'Required', 'Optional', 'Why'];
  return [
    '<table>',
    `<caption>${caption}</caption>`,
    `<thead><tr>${head.map((name) => `<th scope="col">${name}</th>`).join('')}</tr></thead>`,
    '<tbody>',
    ...systems.map((line) => {
      const tasks = [...(links.get(line.id) ?? [])].join(' · ');
      const why = [...line.why.map(breakable), ...(tasks === '' ? [] : [tasks])].join('<br>');
      const cells = [
        `<span class="status ${line.readiness}">${line.readiness}</span>`,
        line.required,
        line.optional,
        why,
      ];
      const rest = cells.map(
        (cell, index) =>
          `<td${cell === '' ? ' class="none"' : ''} data-label="${head[index + 1] ?? ''}">${cell}</td>`,
      );
      return `<tr><th scope="row">${breakable(line.name)}</th>${rest.join('')}</tr>`;
    }),
    '</tbody>',
    '</table>',
  ].join('\n');
}

function legend(view: ReportView): string {
  const lines = view.legend.map(
    ({ word, meaning }) => `<dt>${word}</dt><dd>${escaped(meaning)}</dd>`,
  );
  return [
    '<details>',
    '<summary>What these words mean</summary>',
    `<dl class="legend">${lines.join('')}</dl>`,
    '</details>',
  ].join('\n');
}

function contentBlock(line: ContentLine, options: FormatOptions): string {
  return [
    `<p>${breakable(line.text)}</p>`,
    ...items(line.facts),
    ...(options.detail === true
      ? [
          ...folded('Without a picture', line.withoutPicture),
          ...folded('Pictures of nothing', line.withoutFile),
        ]
      : []),
  ].join('\n');
}

function folded(title: string, paths: readonly string[]): string[] {
  if (paths.length === 0) return [];
  return [
    `<details><summary>${title} (${String(paths.length)})</summary>`,
    ...items(paths),
    '</details>',
  ];
}

function firmwareCard(row: FirmwareRow): string {
  const dump = dumpNameOf(row);
  const found = row.foundAt === null || row.foundAt === row.judged ? null : row.foundAt;
  return [
    `<article class="entry">`,
    `<h3>${breakable(row.id)}: ${escaped(verdictWords(row.verdict, row.diagnosis))}${dump === null ? '' : ` (${escaped(dump)})`}</h3>`,
    facts([
      ['Expected', `<code>${path(row.expectedPath)}</code>`],
      ...(row.judged === null ? [] : [['Judged', `<code>${path(row.judged)}</code>`] as Fact]),
      ...(found === null ? [] : [['Right bytes', `<code>${path(found)}</code>`] as Fact]),
      ...(row.size === null ? [] : [['Size', count(row.size, 'byte')] as Fact]),
      ...ALGORITHMS.flatMap((algorithm): Fact[] => {
        const digest = row.digests?.[algorithm];
        return digest === undefined
          ? []
          : [[ALGORITHM_NAMES[algorithm], `<code>${escaped(digest)}</code>`]];
      }),
      ...row.facts.map((fact): Fact => ['Fact', breakable(fact.text)]),
      ...(row.note === null ? [] : [['Note', escaped(row.note)] as Fact]),
    ]),
    '</article>',
  ].join('\n');
}

/** A name and what it is, both HTML already. */
type Fact = readonly [name: string, value: string];

function facts(pairs: readonly Fact[]): string {
  return `<dl>${pairs.map(([name, value]) => `<dt>${name}</dt><dd>${value}</dd>`).join('')}</dl>`;
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

function list(id: string, title: string, lines: readonly string[]): string[] {
  return section(id, title, items(lines));
}

function items(lines: readonly string[]): string[] {
  if (lines.length === 0) return [];
  return [`<ul>\n${lines.map((line) => `<li>${breakable(line)}</li>`).join('\n')}\n</ul>`];
}

function names(all: readonly string[]): string {
  return all.map(breakable).join(', ');
}

const ENTITIES: Readonly<Record<string, string>> = {
  '&': '&amp;',
  '<': '&lt;',
  '>': '&gt;',
  '"': '&quot;',
  "'": '&#39;',
};

/** Untrusted text for element content and quoted attributes (HTML Standard, 13.3 "escaping a string"). */
function escaped(untrusted: string): string {
  return escapeText(untrusted).replaceAll(/[&<>"']/g, (character) => ENTITIES[character] ?? '');
}

/** A path that may be broken after a separator, and so nowhere inside a word. */
function path(untrusted: string): string {
  return escaped(untrusted).replaceAll(/[/_]/g, '$&<wbr>');
}

/** Text in which a path may occur. */
function breakable(untrusted: string): string {
  return escaped(untrusted).replaceAll('/', '/<wbr>');
}
