/**
 * A manifest as a tree that can hold what an object cannot (a key twice, keys
 * in any order), and a writer of it as YAML or JSON that shares no code with
 * any YAML library.
 */
import type { Random } from './random.js';

export type Node = string | number | boolean | null | Raw | Node[] | Mapping;

/** Text put into the document as it is. */
export class Raw {
  readonly text: string;
  constructor(text: string) {
    this.text = text;
  }
}

export class Mapping {
  readonly pairs: [key: string, value: Node][];
  constructor(pairs: [string, Node][]) {
    this.pairs = pairs;
  }

  get(key: string): Node | undefined {
    return this.pairs.find(([name]) => name === key)?.[1];
  }

  set(key: string, value: Node): void {
    const pair = this.pairs.find(([name]) => name === key);
    if (pair === undefined) this.pairs.push([key, value]);
    else pair[1] = value;
  }

  delete(key: string): void {
    const index = this.pairs.findIndex(([name]) => name === key);
    if (index >= 0) this.pairs.splice(index, 1);
  }
}

export type Style = 'json' | 'flow' | 'block';

/** Writes a document; `random` chooses among spellings that mean the same. */
export function write(node: Node, style: Style, random: Random): string {
  if (style === 'json') return `${json(node)}\n`;
  const start = random.chance(0.2) ? '---\n' : random.chance(0.1) ? '%YAML 1.2\n---\n' : '';
  const body = style === 'flow' ? `${flow(node, random)}\n` : block(node, 0, random).trimStart();
  const comment = random.chance(0.2) ? '# an invented manifest, made by a fuzzer\n' : '';
  const text = `${start}${comment}${body}`;
  return random.chance(0.15) ? text.replaceAll('\n', '\r\n') : text;
}

function json(node: Node): string {
  if (node instanceof Raw) return node.text;
  if (Array.isArray(node)) return `[${node.map(json).join(',')}]`;
  if (node instanceof Mapping) {
    return `{${node.pairs.map(([key, value]) => `${JSON.stringify(key)}:${json(value)}`).join(',')}}`;
  }
  return JSON.stringify(node);
}

function flow(node: Node, random: Random): string {
  if (Array.isArray(node)) return `[${node.map((item) => flow(item, random)).join(', ')}]`;
  if (node instanceof Mapping) {
    const pairs = node.pairs.map(
      ([key, value]) => `${scalar(key, random)}: ${flow(value, random)}`,
    );
    return `{${pairs.join(', ')}}`;
  }
  return scalar(node, random);
}

function block(node: Node, depth: number, random: Random): string {
  const indent = '  '.repeat(depth);
  if (Array.isArray(node)) {
    if (node.length === 0) return ' []\n';
    return `\n${node.map((item) => `${indent}- ${nested(item, depth, random)}`).join('')}`;
  }
  if (node instanceof Mapping) {
    if (node.pairs.length === 0) return ' {}\n';
    const lines = node.pairs.map(([key, value]) => {
      const comment = random.chance(0.03) ? `${indent}# note\n` : '';
      return `${comment}${indent}${scalar(key, random)}:${block(value, depth + 1, random)}`;
    });
    return `\n${lines.join('')}`;
  }
  return ` ${scalar(node, random)}\n`;
}

/** What stands after "- ": a scalar, or a collection in flow style, which may stand anywhere. */
function nested(node: Node, depth: number, random: Random): string {
  if (node instanceof Mapping && node.pairs.length > 0 && random.chance(0.7)) {
    return block(node, depth + 1, random).replace(/^\n\s*(?=\S)/u, '');
  }
  return `${flow(node, random)}\n`;
}

function scalar(node: string | number | boolean | null | Raw, random: Random): string {
  if (node instanceof Raw) return node.text;
  if (typeof node !== 'string') return String(node);
  const plain =
    /^[a-z0-9][a-z0-9_./-]*$/iu.test(node) && !/^(?:true|false|null|~|---|\.\.\.)$/iu.test(node);
  if (plain && random.chance(0.7)) return node;
  const single = /^[\x20-\x7e]*$/u.test(node);
  if (single && random.chance(0.5)) return `'${node.replaceAll("'", "''")}'`;
  // JSON's escapes are a subset of YAML's double-quoted ones (YAML 1.2.2, section 5.7).
  return JSON.stringify(node);
}
