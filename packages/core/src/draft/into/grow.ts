import {
  isMap,
  isNode,
  isPair,
  isScalar,
  isSeq,
  type Document,
  type Node,
  type YAMLMap,
  type YAMLSeq,
} from 'yaml';
import { jsonText } from '../../text/json-text.js';
import {
  JSON_WORDING,
  toObject,
  yamlOf,
  yamlText,
  YAML_WORDING,
  type Wording,
} from '../render-draft.js';
import type { TextEdits } from './text-edits.js';

/** What is added, in either wording. */
export type Content = (wording: Wording) => unknown;

/** Said when something is written in a way that nothing can be added to. */
export class CannotGrow extends Error {}

/** Adds to the maps and lists of a document's text, each in the style it is written in. */
export class Grower {
  readonly #edits: TextEdits;
  /** Whether the text is JSON, and has to stay so. */
  readonly #json: boolean;
  /** One level of indentation. */
  readonly #unit: string;

  constructor(edits: TextEdits, json: boolean, root: YAMLMap) {
    this.#edits = edits;
    this.#json = json;
    this.#unit = unitOf(edits, root, json);
  }

  /** Adds pairs to a map. @param gap whether an empty line goes in front, as between the sections of a manifest */
  addPairs(map: YAMLMap, pairs: readonly (readonly [string, Content])[], gap = false): void {
    if (pairs.length === 0) return;
    const content = (wording: Wording): Map<string, unknown> =>
      new Map(pairs.map(([key, value]) => [key, value(wording)]));
    if (isFlow(map)) {
      const texts = this.#json
        ? pairs.map(([key, value]) => [`${JSON.stringify(key)}: `, value] as const)
        : pairs.map(
            ([key, value]) => ['', (wording: Wording) => new Map([[key, value(wording)]])] as const,
          );
      this.#growFlow(map, texts, !this.#json);
      return;
    }
    const last = map.items.at(-1);
    const start = itemStart(map, map.items.length - 1);
    if (last === undefined || start === null) throw new CannotGrow();
    const lines = this.#blockLines(content(YAML_WORDING), this.#edits.column(start));
    this.#edits.insertLines(endOf(map), gap ? ['', ...lines] : lines);
  }

  addItems(seq: YAMLSeq, items: readonly Content[]): void {
    if (items.length === 0) return;
    if (isFlow(seq)) {
      this.#growFlow(
        seq,
        items.map((item) => ['', item] as const),
        false,
      );
      return;
    }
    const start = itemStart(seq, seq.items.length - 1);
    if (start === null) throw new CannotGrow();
    const list = yamlOf(items.map((item) => item(YAML_WORDING)));
    const last = seq.items.at(-1);
    if (isMap(last) && isFlow(last) && isSeq(list.contents)) {
      for (const item of list.contents.items) if (isMap(item)) item.flow = true;
    }
    this.#edits.insertLines(endOf(seq), indented(this.#yaml(list), this.#edits.column(start)));
  }

  /** Puts pairs into an empty `{}` that stands after a key of a block map: as a block below it. */
  fillEmpty(
    parent: YAMLMap,
    map: YAMLMap,
    pairs: readonly (readonly [string, Content])[],
  ): boolean {
    const range = map.range;
    const start = itemStart(parent, 0);
    if (this.#json || isFlow(parent) || !range || start === null || map.anchor !== undefined)
      return false;
    const { text } = this.#edits;
    const [from, to] = range;
    if (
      !/^\{\s*\}$/u.test(text.slice(from, to)) ||
      !/:[ \t]+$/u.test(text.slice(0, from).slice(-20))
    ) {
      return false;
    }
    const before = text.slice(0, from).length - text.slice(0, from).trimEnd().length;
    this.#edits.remove(from - before, to - from + before);
    const content = new Map(pairs.map(([key, value]) => [key, value(YAML_WORDING)]));
    const column = this.#edits.column(start) + this.#unit.length;
    this.#edits.insertLines(to, this.#blockLines(content, column));
    return true;
  }

  #blockLines(content: unknown, column: number): string[] {
    return indented(this.#yaml(yamlOf(content)), column);
  }

  #yaml(document: Document): string {
    return yamlText(document, Math.max(1, this.#unit.length));
  }

  /** @param pairs whether each item is a map of one pair, whose brackets go */
  #growFlow(
    node: YAMLMap | YAMLSeq,
    items: readonly (readonly [string, Content])[],
    pairs: boolean,
  ): void {
    const { text, newline } = this.#edits;
    const range = node.range;
    if (!range) throw new CannotGrow();
    const [open, end] = range;
    const start = itemStart(node, node.items.length - 1);
    if (start === null) {
      const at = text.indexOf(isMap(node) ? '{' : '[', open) + 1;
      const indent = this.#json && text.includes('\n') ? lineIndent(text, open) : null;
      const inner = indent === null ? null : indent + this.#unit;
      const written = items.map((item) => this.#flowItem(item, inner, pairs));
      if (inner === null) this.#edits.insert(at, written.join(', '));
      else {
        const lines = written.map((each) => newline + inner + each).join(',');
        this.#edits.insert(at, `${lines}${newline}${indent ?? ''}`);
      }
      return;
    }
    const lastEnd = lastItemEnd(node);
    if (lastEnd === null) throw new CannotGrow();
    const between = text.slice(lastEnd, end - 1);
    const indent = between.includes('\n') ? this.#edits.indentBefore(start) : null;
    const written = items.map((item) => this.#flowItem(item, indent, pairs));
    if (indent === null) {
      this.#edits.insert(lastEnd, written.map((each) => `, ${each}`).join(''));
      return;
    }
    const comma = /^\s*,/u.exec(between)?.[0];
    const glue = `,${newline}${indent}`;
    const body = written.join(glue);
    const lineEnd = lastEnd + between.indexOf('\n');
    const rest = text.slice(lastEnd, lineEnd);
    if (comma !== undefined && lastEnd + comma.length > lineEnd) throw new CannotGrow();
    if (comma === undefined) this.#edits.insert(lastEnd, ',');
    // A comment after the last item stays on its line.
    const at = rest.includes('#') || comma !== undefined ? contentEnd(text, lineEnd) : lastEnd;
    this.#edits.insert(at, `${newline}${indent}${body}${comma === undefined ? '' : ','}`);
  }

  /** @param indent of the item's line, to spread it over lines; null: on one line */
  #flowItem(
    [before, item]: readonly [string, Content],
    indent: string | null,
    pair: boolean,
  ): string {
    if (this.#json) {
      const lines = jsonText(item(JSON_WORDING), toObject).trimEnd().split('\n');
      if (indent === null) return before + lines.map((line) => line.trim()).join(' ');
      const [first = '', ...others] = lines.map((line) =>
        line.replace(/^ +/u, (spaces) => this.#unit.repeat(spaces.length / 2)),
      );
      return before + [first, ...others.map((line) => indent + line)].join(this.#edits.newline);
    }
    // In a list, so that a text, too, is written as it has to be between brackets.
    const list = yamlOf([item(YAML_WORDING)]);
    if (isSeq(list.contents)) list.contents.flow = true;
    const text = yamlText(list).trimEnd().slice(1, -1).trim();
    return pair ? text.slice(1, -1).trim() : text;
  }
}

function indented(text: string, column: number): string[] {
  const indent = ' '.repeat(column);
  return text
    .trimEnd()
    .split('\n')
    .map((line) => indent + line);
}

function lineIndent(text: string, offset: number): string {
  return /^[ \t]*/u.exec(text.slice(text.lastIndexOf('\n', offset - 1) + 1, offset))?.[0] ?? '';
}

/** Where a line's content ends: in front of its line break. */
function contentEnd(text: string, lineEnd: number): number {
  return text[lineEnd - 1] === '\r' ? lineEnd - 1 : lineEnd;
}

function isFlow(node: YAMLMap | YAMLSeq): boolean {
  return node.srcToken?.type === 'flow-collection';
}

/** Offset at which an item is written, its dash or key first; null when there is no such item. */
function itemStart(node: YAMLMap | YAMLSeq, index: number): number | null {
  const token = node.srcToken;
  if (token === undefined || !('items' in token)) return null;
  // An item may be nothing but what stands around the others, such as a last comma.
  const items = token.items.filter(
    ({ key, value, start }) => key || value || start.some(({ type }) => type === 'seq-item-ind'),
  );
  const item = items[index];
  if (item === undefined) return null;
  const marks = item.start.filter(({ type }) => !NOT_CONTENT.has(type));
  return (marks[0] ?? item.key ?? item.value)?.offset ?? null;
}

const NOT_CONTENT: ReadonlySet<string> = new Set(['space', 'newline', 'comment', 'comma']);

/** Where what is written of a node ends, without comments after it. */
function endOf(node: Node): number {
  if ((isMap(node) || isSeq(node)) && !isFlow(node))
    return lastItemEnd(node) ?? node.range?.[1] ?? 0;
  return node.range?.[1] ?? 0;
}

/** Where the last item of a map or list ends. */
function lastItemEnd(node: YAMLMap | YAMLSeq): number | null {
  const last = node.items.at(-1);
  const part = isPair(last) ? (isWritten(last.value) ? last.value : last.key) : last;
  return isNode(part) ? endOf(part) : null;
}

/** A key without anything after it has a value of no characters. */
function isWritten(value: unknown): boolean {
  if (!isNode(value)) return false;
  return !isScalar(value) || value.source !== '' || value.range?.[0] !== value.range?.[1];
}

/** How far the first nested key is indented; two spaces where nothing tells. */
function unitOf(edits: TextEdits, root: YAMLMap, json: boolean): string {
  if (json) {
    const start = itemStart(root, 0);
    return (start === null ? null : edits.indentBefore(start)) || '  ';
  }
  for (const { value } of root.items) {
    if (!isMap(value) || isFlow(value)) continue;
    const start = itemStart(value, 0);
    if (start !== null)
      return ' '.repeat(Math.max(1, edits.column(start) - edits.column(itemStart(root, 0) ?? 0)));
  }
  return '  ';
}
