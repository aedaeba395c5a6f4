import { isAlias, isMap, isScalar, isSeq, type ParsedNode, type Scalar } from 'yaml';
import { MAX_ALIASED_VALUES } from '../limits.js';
import { child } from './pointer.js';
import { plainInteger } from './integer.js';
import type { SourceText, Spot, TextRange } from './source-text.js';
import type { ProblemList } from '../rules/problem-list.js';
import type { Suggester } from '../rules/suggester.js';
import { aliasLimit, duplicateKey, keyNotText, mergeKey, unknownAlias } from '../rules/yaml.js';

/** Where a map's entry was written. */
export interface EntryRanges {
  readonly key: TextRange;
  /** The key's, when the value has no extent of its own or was left out. */
  readonly value: TextRange;
}

/** Of a map by key; of a list by index. */
export type ContainerRanges = ReadonlyMap<string, EntryRanges> | readonly TextRange[];

export interface ParsedValue {
  /** Maps are objects without a prototype, so that `__proto__` is a key like any other. */
  readonly value: unknown;
  readonly range: TextRange;
  readonly ranges: ReadonlyMap<object, ContainerRanges>;
  /** Whether parts were left out of `value` because they mean nothing. */
  readonly damaged: boolean;
}

/** Stands for a value that was left out, with a problem reported. */
const NOTHING = Symbol('nothing');

/** Characters of an aliased text that count as one value: a long one repeated often takes as long as many. */
const LONG = 64;

/** Keys whose plain scalars are whole numbers. */
export const INTEGER_KEYS: ReadonlySet<string> = new Set(['firmtally', 'size', 'at-least']);

/**
 * Turns the syntax tree into values. Null when aliases repeat too much.
 *
 * @param syntaxErrors offsets of slips that have been reported
 */
export function toValue(
  source: SourceText,
  root: ParsedNode | null,
  problems: ProblemList,
  suggester: Suggester,
  syntaxErrors: readonly number[],
): ParsedValue | null {
  const walker = new Walker(source, problems, suggester, syntaxErrors);
  try {
    const value = walker.value(root, null, '');
    if (value === NOTHING) return null;
    return { value, range: rangeOf(root), ranges: walker.ranges, damaged: walker.damaged };
  } catch (error) {
    if (error instanceof AliasLimitReached) return null;
    throw error;
  }
}

class AliasLimitReached extends Error {}

class Walker {
  readonly ranges = new Map<object, ContainerRanges>();
  damaged = false;
  readonly #source: SourceText;
  readonly #problems: ProblemList;
  readonly #suggester: Suggester;
  /** Lines with a slip of syntax, which says enough of what it made of its line. */
  readonly #slipLines: ReadonlySet<number>;
  readonly #anchors = new Map<string, ParsedNode>();
  readonly #targets = new Map<ParsedNode, ParsedNode>();
  /** Aliases that lead nowhere. */
  readonly #broken = new Set<ParsedNode>();
  /** Anchored nodes being walked: an alias to one of them has no end. */
  readonly #open = new Set<ParsedNode>();
  #aliasDepth = 0;
  #aliased = 0;

  constructor(
    source: SourceText,
    problems: ProblemList,
    suggester: Suggester,
    syntaxErrors: readonly number[],
  ) {
    this.#source = source;
    this.#problems = problems;
    this.#suggester = suggester;
    this.#slipLines = new Set(syntaxErrors.map((offset) => source.position(offset).line));
  }

  value(node: ParsedNode | null, key: string | null, pointer: string): unknown {
    if (node === null) return null;
    if (isAlias(node)) return this.#alias(node as ParsedNode & { source: string }, key, pointer);
    if (this.#aliasDepth > 0) this.#countAliased(node, pointer);
    this.#register(node);
    if (isScalar(node)) return scalarValue(node, key);
    this.#open.add(node);
    const value = isMap(node) ? this.#map(node.items, pointer) : this.#list(node, pointer);
    this.#open.delete(node);
    return value;
  }

  #map(
    items: readonly { key: ParsedNode; value: ParsedNode | null }[],
    pointer: string,
  ): Record<string, unknown> {
    const map = Object.create(null) as Record<string, unknown>;
    const ranges = new Map<string, EntryRanges>();
    this.ranges.set(map, ranges);
    for (const item of items) {
      const range = rangeOf(item.key);
      const name = this.#key(item.key, range, pointer);
      if (name === null) {
        this.damaged = true;
        continue;
      }
      const at = child(pointer, name);
      const first = ranges.get(name)?.key;
      if (first !== undefined) {
        this.#problems.add(duplicateKey, this.#spot(range, at), {
          message: `The key "${name}" stands here a second time.`,
          related: [{ message: 'the first one is here', spot: this.#spot(first, at) }],
        });
        continue;
      }
      ranges.set(name, { key: range, value: range });
      const value = this.value(item.value, name, at);
      if (value === NOTHING) continue;
      map[name] = value;
      const written = item.value === null ? range : rangeOf(item.value);
      // An empty value has no extent of its own; show its key.
      if (written.start !== written.end) ranges.set(name, { key: range, value: written });
    }
    return map;
  }

  #list(node: ParsedNode, pointer: string): unknown[] {
    const list: unknown[] = [];
    const ranges: TextRange[] = [];
    this.ranges.set(list, ranges);
    if (!isSeq<ParsedNode>(node)) return list;
    for (const item of node.items) {
      const index = String(list.length);
      const value = this.value(item, null, child(pointer, index));
      if (value === NOTHING) continue;
      list.push(value);
      ranges.push(rangeOf(item));
    }
    return list;
  }

  #key(node: ParsedNode, range: TextRange, pointer: string): string | null {
    if (!isScalar(node) || (node.type === 'PLAIN' && node.source === '')) {
      if (!this.#slipLines.has(this.#source.position(range.start).line)) {
        this.#problems.add(keyNotText, this.#spot(range, pointer), {
          message: 'A key has to be text here, not a list, a map, an alias or nothing.',
        });
      }
      return null;
    }
    this.#register(node);
    const name = String(node.value);
    if (name === '<<' && node.type === 'PLAIN') {
      this.#problems.add(mergeKey, this.#spot(range, pointer), {
        message: 'The merge key << belongs to YAML 1.1 and is not read.',
        advice: 'write the keys out, or give the whole value as an alias (*name)',
      });
      return null;
    }
    return name;
  }

  #alias(alias: ParsedNode & { source: string }, key: string | null, pointer: string): unknown {
    if (this.#aliasDepth > 0) this.#countAliased(alias, pointer);
    // Reported where it stands; a repeated value must not report it again and again.
    if (this.#broken.has(alias)) return NOTHING;
    const name = alias.source;
    // Walked again as part of a repeated value, it still means what it meant where it stands.
    const target = this.#targets.get(alias) ?? this.#anchors.get(name);
    if (target === undefined || this.#open.has(target)) {
      this.#problems.add(unknownAlias, this.#spot(rangeOf(alias), pointer), {
        message:
          target === undefined
            ? `No anchor &${name} comes before this alias.`
            : `The alias *${name} stands inside the value it repeats.`,
        suggestion: target === undefined ? this.#suggester.nearest(name, this.#anchors) : null,
      });
      this.#broken.add(alias);
      this.damaged = true;
      return NOTHING;
    }
    this.#targets.set(alias, target);
    this.#aliasDepth++;
    const value = this.value(target, key, pointer);
    this.#aliasDepth--;
    return value;
  }

  #register(node: ParsedNode): void {
    if (this.#aliasDepth > 0 || isAlias(node) || node.anchor === undefined) return;
    this.#anchors.set(node.anchor, node);
  }

  #countAliased(node: ParsedNode, pointer: string): void {
    this.#aliased += isScalar(node) ? 1 + Math.floor(String(node.value).length / LONG) : 1;
    if (this.#aliased <= MAX_ALIASED_VALUES) return;
    this.#problems.add(aliasLimit, this.#spot(rangeOf(node), pointer), {
      message: `Aliases repeat more than ${MAX_ALIASED_VALUES} values.`,
      advice: 'write the values out, or split the manifest',
    });
    throw new AliasLimitReached();
  }

  #spot(range: TextRange, pointer: string): Spot {
    return { source: this.#source, range, pointer };
  }
}

function scalarValue(node: Scalar, key: string | null): unknown {
  const text = String(node.value);
  if (node.type !== 'PLAIN') return text;
  if (text === '' || text === '~' || text === 'null') return null;
  return key !== null && INTEGER_KEYS.has(key) ? (plainInteger(text) ?? text) : text;
}

function rangeOf(node: ParsedNode | null): TextRange {
  return node === null ? { start: 0, end: 0 } : { start: node.range[0], end: node.range[1] };
}
