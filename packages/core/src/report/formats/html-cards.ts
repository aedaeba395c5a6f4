import { ALGORITHM_NAMES, ALGORITHMS } from '../../bytes/digests.js';
import { count } from '../../text/count.js';
import { dumpNameOf } from '../expected.js';
import type { FirmwareRow } from '../model.js';
import type { ToDoGroup, ToDoItem } from '../view-to-do.js';
import type { ToGetDump, ToGetFile, ToGetItem } from '../view-to-get.js';
import { verdictWords } from '../words.js';
import type { FormatOptions } from './format.js';
import {
  breakable,
  breakablePath,
  escaped,
  factList,
  firstBlocks,
  firstFacts,
  firstTexts,
  type HtmlFact,
} from './html-text.js';

type Limit = FormatOptions['atMost'];

/** What is to be got, as one card with that id. */
export function toGetCard(item: ToGetItem, id: string, atMost: Limit): string {
  const choice = item.files.length > 1;
  return [
    `<article class="task get${item.optional ? ' optional' : ''}" id="${id}">`,
    ...(choice ? ['<h3>One of these</h3>'] : []),
    ...firstBlocks(item.files, atMost, (file) =>
      toGetFile(file, choice ? 'h4' : 'h3', item.optional, atMost),
    ),
    factList([
      ['For', names(item.systems, atMost)],
      ...firstFacts(item.facts, atMost, (fact) => ['Met instead', breakable(fact)]),
    ]),
    '</article>',
  ].join('\n');
}

function toGetFile(file: ToGetFile, heading: string, optional: boolean, atMost: Limit): string {
  const members = file.members.flatMap(({ path, dumps }) => dumps.map((dump) => ({ path, dump })));
  return [
    `<${heading}>${code(file.path)}${optional ? OPTIONAL : ''}</${heading}>`,
    ...(file.note === null ? [] : [`<p>${escaped(file.note)}</p>`]),
    factList([
      ['Firmware', escaped(file.firmware)],
      ...(file.members.length === 0 ? [] : [['What', 'a ZIP with these members'] as HtmlFact]),
      ...firstFacts(file.dumps, atMost, (dump) => [
        dump.name === null ? 'Expected' : `Expected: ${escaped(dump.name)}`,
        dumpText(dump),
      ]),
      ...firstFacts(members, atMost, ({ path, dump }) => [
        `Member ${code(path)}${dump.name === null ? '' : `, ${escaped(dump.name)}`}`,
        dumpText(dump),
      ]),
    ]),
  ].join('\n');
}

function dumpText({ size, checksums }: ToGetDump): string {
  return [
    ...(size === null ? [] : [size]),
    ...checksums.map(({ name, digest }) => `${name} <code>${digest}</code>`),
  ].join('<br>');
}

/** Firmware with the same advice, as one card with that id. */
export function toDoCard(group: ToDoGroup, id: string, atMost: Limit): string {
  return [
    `<article class="task do${group.optional ? ' optional' : ''}" id="${id}">`,
    `<h3>${breakable(group.text)}${group.optional ? OPTIONAL : ''}</h3>`,
    ...firstBlocks(group.items, atMost, (item) => toDoItem(item, atMost)),
    '</article>',
  ].join('\n');
}

const OPTIONAL = ' <span class="soft">optional</span>';

function toDoItem({ row, words, text, orElse, systems }: ToDoItem, atMost: Limit): string {
  const found = row.foundAt === null || row.foundAt === row.expectedPath ? null : row.foundAt;
  return [
    ...(text === null ? [] : [`<p>${breakable(text)}</p>`]),
    factList([
      ['Firmware', `${escaped(row.id)}: ${escaped(words)}`],
      ['Expected', code(row.expectedPath)],
      ...(found === null ? [] : [['Found', code(found)] as HtmlFact]),
      ...row.facts.map((fact): HtmlFact => ['Fact', breakable(fact.text)]),
      ...(row.note === null ? [] : [['Note', escaped(row.note)] as HtmlFact]),
      ['For', names(systems, atMost)],
      ...(orElse.length === 0 ? [] : [['Or one of', names(orElse, atMost)] as HtmlFact]),
    ]),
  ].join('\n');
}

/** Everything that was found of one firmware. */
export function firmwareCard(row: FirmwareRow): string {
  const dump = dumpNameOf(row);
  const found = row.foundAt === null || row.foundAt === row.judged ? null : row.foundAt;
  return [
    `<article class="entry">`,
    `<h3>${breakable(row.id)}: ${escaped(verdictWords(row.verdict, row.diagnosis))}${dump === null ? '' : ` (${escaped(dump)})`}</h3>`,
    factList([
      ['Expected', code(row.expectedPath)],
      ...(row.judged === null ? [] : [['Judged', code(row.judged)] as HtmlFact]),
      ...(found === null ? [] : [['Right bytes', code(found)] as HtmlFact]),
      ...(row.size === null ? [] : [['Size', count(row.size, 'byte')] as HtmlFact]),
      ...ALGORITHMS.flatMap((algorithm): HtmlFact[] => {
        const digest = row.digests?.[algorithm];
        return digest === undefined
          ? []
          : [[ALGORITHM_NAMES[algorithm], `<code>${escaped(digest)}</code>`]];
      }),
      ...row.facts.map((fact): HtmlFact => ['Fact', breakable(fact.text)]),
      ...(row.note === null ? [] : [['Note', escaped(row.note)] as HtmlFact]),
    ]),
    '</article>',
  ].join('\n');
}

function code(path: string): string {
  return `<code>${breakablePath(path)}</code>`;
}

function names(all: readonly string[], atMost: Limit): string {
  return firstTexts(all, atMost, breakable).join(', ');
}
