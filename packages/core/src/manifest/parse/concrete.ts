import type { CST } from 'yaml';
import { firstAtLeast, type TextRange } from './source-text.js';

/**
 * What stands where in the concrete syntax, to tell slips apart that share a
 * code of the yaml library: it says that a character is missing, not which.
 */
export class Concrete {
  /** End of a quoted text that is not closed -> its opening quote. */
  readonly #openQuotes = new Map<number, number>();
  /** By their starts. */
  readonly #openBrackets: readonly OpenBracket[];
  readonly #bracketStarts: readonly number[];
  /** Between two items in brackets without a comma: none lies in another. */
  readonly #gaps: readonly TextRange[];
  readonly #gapEnds: readonly number[];
  readonly #keysWithoutColon = new Set<number>();
  /** Start of a map on the line of its key -> where its first key goes on, on the next line; else itself. */
  readonly #mapsOnKeyLine = new Map<number, number>();
  /** Starts of items of a list that have no dash. */
  readonly #dashless = new Set<number>();
  /** What stands in brackets, those that lie in others left out. */
  readonly #bracketed: readonly TextRange[];
  readonly #bracketedEnds: readonly number[];

  constructor(tokens: readonly CST.Token[]) {
    const openBrackets: OpenBracket[] = [];
    const gaps: TextRange[] = [];
    const bracketed: TextRange[] = [];
    // Not recursive: each token is put off until those before it are done.
    const waiting: (CST.Token | null | undefined)[] = [...tokens].reverse();
    while (waiting.length > 0) {
      const token = waiting.pop();
      if (token === null || token === undefined) continue;
      if (token.type === 'document') waiting.push(token.value);
      else if (token.type === 'block-seq') this.#blockSeq(token);
      else if (token.type === 'block-map') this.#blockMap(token);
      else if (token.type === 'flow-collection') {
        const open = openBracket(token);
        if (open !== null) openBrackets.push(open);
        for (const gap of gapsIn(token)) gaps.push(gap);
        bracketed.push({ start: token.start.offset, end: open === null ? endOf(token) : Infinity });
      } else this.#quoted(token);
      if ('items' in token) for (const { key, value } of itemsOf(token)) waiting.push(key, value);
    }
    this.#openBrackets = openBrackets.sort((a, b) => a.start - b.start);
    this.#bracketStarts = this.#openBrackets.map(({ start }) => start);
    this.#gaps = gaps.sort((a, b) => a.start - b.start);
    this.#gapEnds = this.#gaps.map(({ end }) => end);
    this.#bracketed = outermost(bracketed);
    this.#bracketedEnds = this.#bracketed.map(({ end }) => end);
  }

  /** The opening quote of a quoted text that ends at an offset without being closed; null when there is none. */
  quoteOpenAt(end: number): TextRange | null {
    const start = this.#openQuotes.get(end);
    return start === undefined ? null : { start, end: start + 1 };
  }

  /** Whether an offset lies between two items in brackets that no comma parts. */
  isWithoutComma(offset: number): boolean {
    const gap = this.#gaps[firstAtLeast(this.#gapEnds, offset)];
    return gap !== undefined && gap.start <= offset;
  }

  /** The nearest bracket before an offset that is not closed there; null when there is none. */
  bracketOpenAt(offset: number): OpenBracket | null {
    const bracket = this.#openBrackets[firstAtLeast(this.#bracketStarts, offset) - 1];
    return bracket !== undefined && offset >= bracket.lastItem ? bracket : null;
  }

  isKeyWithoutColon(offset: number): boolean {
    return this.#keysWithoutColon.has(offset);
  }

  /**
   * Where the first key of a map goes on, that starts at an offset, on the line
   * of the key it belongs to: the same offset, unless that key spans lines.
   * Null when none starts there.
   */
  mapOnKeyLine(offset: number): number | null {
    return this.#mapsOnKeyLine.get(offset) ?? null;
  }

  /** Whether an item of a list starts here that has no dash. */
  isWithoutDash(offset: number): boolean {
    return this.#dashless.has(offset);
  }

  isInBrackets(offset: number): boolean {
    const range = this.#bracketed[firstAtLeast(this.#bracketedEnds, offset)];
    return range !== undefined && range.start < offset;
  }

  #blockMap({ items }: CST.BlockMap): void {
    for (const { key, sep, value } of items) {
      const colon = sep?.some(({ type }) => type === 'map-value-ind') ?? false;
      if (key && !colon) this.#keysWithoutColon.add(key.offset);
      const newline = sep?.some(({ type }) => type === 'newline') ?? false;
      if (value?.type !== 'block-map' || newline) continue;
      const first = value.items[0]?.key;
      const on = first && 'source' in first ? /\n\s*/.exec(first.source) : null;
      this.#mapsOnKeyLine.set(
        value.offset,
        value.offset + (on === null ? 0 : on.index + on[0].length),
      );
    }
  }

  #blockSeq({ items }: CST.BlockSequence): void {
    for (const { start, value } of items) {
      if (value && !start.some(({ type }) => type === 'seq-item-ind')) {
        this.#dashless.add(value.offset);
      }
    }
  }

  #quoted(token: CST.Token): void {
    if (token.type !== 'double-quoted-scalar' && token.type !== 'single-quoted-scalar') return;
    const { source, offset } = token;
    if (source.length >= 2 && source.at(-1) === source[0]) return;
    this.#openQuotes.set(offset + source.length, offset);
  }
}

/** A bracket that is never closed, or by one of another kind. */
interface OpenBracket extends TextRange {
  /** The bracket that would close it. */
  readonly wanted: ']' | '}';
  /** Where the last thing in it starts. */
  readonly lastItem: number;
  /** The bracket of another kind; null when there is none at all. */
  readonly closedBy: string | null;
}

/** Ranges that nest or follow each other, but for those in others. */
function outermost(ranges: readonly TextRange[]): TextRange[] {
  const outer: TextRange[] = [];
  for (const range of [...ranges].sort((a, b) => a.start - b.start)) {
    if (range.start >= (outer.at(-1)?.end ?? 0)) outer.push(range);
  }
  return outer;
}

function openBracket({ start, items, end }: CST.FlowCollection): OpenBracket | null {
  const wanted = start.source === '{' ? 'flow-map-end' : 'flow-seq-end';
  if (end.some(({ type }) => type === wanted)) return null;
  const closing = end.find(({ type }) => type === 'flow-map-end' || type === 'flow-seq-end');
  const last = items.at(-1);
  return {
    start: start.offset,
    end: start.offset + 1,
    wanted: start.source === '{' ? '}' : ']',
    lastItem: (last?.value ?? last?.key)?.offset ?? start.offset,
    closedBy: closing?.source ?? null,
  };
}

/** Where a comma is missing: between two items, or between a key and what is no value of it. */
function* gapsIn({ items }: CST.FlowCollection): Generator<TextRange> {
  let before: CST.Token | null = null;
  for (const { start, key, sep, value } of items) {
    const first = key ?? value ?? null;
    if (before !== null && first !== null && !start.some(({ type }) => type === 'comma')) {
      yield { start: endOf(before), end: first.offset };
    }
    if (key && value && !(sep ?? []).some(({ type }) => type === 'map-value-ind')) {
      yield { start: endOf(key), end: value.offset };
    }
    before = value ?? key ?? before;
  }
}

/** Of what a whole item in brackets is made of. */
function endOf(token: CST.Token): number {
  if (token.type === 'flow-collection') {
    const last = token.end.at(-1);
    return last === undefined ? token.start.offset + 1 : last.offset + last.source.length;
  }
  return token.offset + ('source' in token ? token.source.length : 0);
}

function itemsOf(
  token: CST.BlockMap | CST.BlockSequence | CST.FlowCollection,
): readonly { key?: CST.Token | null; value?: CST.Token }[] {
  return token.items;
}
