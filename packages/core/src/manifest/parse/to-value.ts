import { isAlias, isMap, isPair, isScalar, isSeq, type ParsedNode, type Scalar } from 'yaml';
import { MAX_ALIASED_VALUES } from '../limits.js';
import { child } from './pointer.js';
import { plainValue } from './integer.js';
import type { ParsedValue } from './parsed.js';
import type { SourceText, Spot, TextRange } from './source-text.js';
import type { ProblemList } from '../rules/problem-list.js';
import type { Suggester } from '../rules/suggester.js';
import { aliasLimit, duplicateKey, keyNotText, mergeKey, unknownAlias } from '../rules/yaml.js';
import { PlainMap, WrittenRanges } from './written-ranges.js';

/** Stands for a value that was left out, with a problem reported. */
const NOTHING = Symbol('nothing');

type Walked = Pick<ParsedValue, 'value' | 'ranges'>;

const LEFT_OUT: Walked = { value: NOTHING, ranges: null };

/** Characters of an aliased text that count as one value: a long one repeated often takes as long as many. */
const LONG = 64;

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
    const { value, ranges } = walker.value(root, null, '');
    if (value === NOTHING) return null;
    return { value, range: rangeOf(root), ranges, damaged: walker.damaged };
  } catch (error) {
    if (error instanceof AliasLimitReached) return null;
    throw error;
  }
}

class AliasLimitReached extends Error {}

class Walker {
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

  value(node: ParsedNode | null, key: string | null, pointer: string): Walked {
    if (node === null) return { value: null, ranges: null };
    if (isAlias(node)) return this.#alias(node as ParsedNode & { source: string }, key, pointer);
    if (this.#aliasDepth > 0) this.#countAliased(node, pointer);
    this.#register(node);
    if (isScalar(node)) return { value: scalarValue(node, key), ranges: null };
    this.#open.add(node);
    const value = isMap(node) ? this.#map(node.items, pointer) : this.#list(node, pointer);
    this.#open.delete(node);
    return value;
  }

  #map(items: readonly { key: ParsedNode; value: ParsedNode | null }[], pointer: string): Walked {
    const map = new PlainMap();
    const ranges = WrittenRanges.ofMap();
    for (const item of items) {
      const range = rangeOf(item.key);
      const name = this.#key(item.key, range, pointer);
      if (name === null) {
        this.damaged = true;
        continue;
      }
      const at = child(pointer, name);
      const first = ranges.indexOf(name);
      if (first !== -1) {
        this.#problems.add(duplicateKey, this.#spot(range, at), {
          message: `The key "${name}" stands here a second time.`,
          related: [{ message: 'the first one is here', spot: this.#spot(ranges.key(first), at) }],
        });
        continue;
      }
      const index = ranges.addKey(name, range.start, range.end);
      const part = this.value(item.value, name, at);
      if (part.value === NOTHING) continue;
      map[name] = part.value;
      const written = item.value === null ? range : rangeOf(item.value);
      // An empty value has no extent of its own: its key is shown.
      ranges.setValue(index, written.start, written.end, part.ranges);
    }
    return { value: map, ranges };
  }

  #list(node: ParsedNode, pointer: string): Walked {
    const list: unknown[] = [];
    const ranges = WrittenRanges.ofList();
    if (!isSeq<ParsedNode>(node)) return { value: list, ranges };
    for (const item of node.items) {
      const index = String(list.length);
      const part = this.value(item, null, child(pointer, index));
      if (part.value === NOTHING) continue;
      list.push(part.value);
      const { start, end } = rangeOf(item);
      ranges.addItem(start, end, part.ranges);
    }
    return { value: list, ranges };
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

  #alias(alias: ParsedNode & { source: string }, key: string | null, pointer: string): Walked {
    if (this.#aliasDepth > 0) this.#countAliased(alias, pointer);
    // Reported where it stands; a repeated value must not report it again and again.
    if (this.#broken.has(alias)) return LEFT_OUT;
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
      return LEFT_OUT;
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
  return node.type === 'PLAIN' ? plainValue(text, key) : text;
}

/** Of a block, up to the end of its last part: the library ends it where the next token starts, behind comments. */
function rangeOf(node: ParsedNode | null): TextRange {
  return node === null ? { start: 0, end: 0 } : { start: node.range[0], end: endOf(node) };
}

function endOf(node: ParsedNode): number {
  for (let last: ParsedNode = node; ;) {
    const end = last.range[1];
    if (!(isMap<ParsedNode, ParsedNode | null>(last) || isSeq<ParsedNode>(last))) return end;
    if (last.flow === true) return end;
    const part = last.items.at(-1);
    const next = isPair(part) ? (part.value ?? part.key) : part;
    if (next === undefined) return end;
    last = next;
  }
}
