import { addTo } from '../collections.js';
import type { Drafted, DraftNote, LeftOut } from './model.js';

/** Lines of a list of one kind that are told in full; of the rest their numbers are. */
const IN_FULL = 10;

/** Ranges of lines named in one sentence. */
const MAX_RANGES = 24;

/**
 * What there is to say of a draft beside the manifest itself: first what is not
 * in it, every line of a list by its number, then what is worth knowing of what
 * is. Lines are untrusted still: `source:line: what of it`, or of a file `what: path: why`.
 */
export function remarksOf({ from, leftOut, notes }: Drafted): {
  readonly leftOut: readonly string[];
  readonly notes: readonly string[];
} {
  return {
    leftOut: told(leftOut, ({ source, reason }) => `${source}\n${reason.text}`, {
      inFull: () => IN_FULL,
      lead: from === 'lists' ? 'not used' : 'not drafted',
      words: ({ reason, text }) =>
        from === 'files' || text === '' ? reason.text : `${reason.text} In: ${text}`,
      alike: 'not used either, for the same reason',
    }),
    notes: told(notes, ({ source, code }) => `${source}\n${code}`, {
      // Every size of such a list is, as a rule.
      inFull: ({ code }) => (code === 'rounded-size' ? 1 : IN_FULL),
      lead: 'note',
      words: ({ message }) => message,
      alike: 'note: The same goes for',
    }),
  };
}

interface Telling<Item> {
  readonly inFull: (first: Item) => number;
  readonly lead: string;
  readonly words: (item: Item) => string;
  readonly alike: string;
}

/** Those of one kind together, in the order in which each kind is first met. */
function told<Item extends LeftOut | DraftNote>(
  items: readonly Item[],
  kindOf: (item: Item) => string,
  { inFull, lead, words, alike }: Telling<Item>,
): string[] {
  const kinds = new Map<string, Item[]>();
  for (const item of items) addTo(kinds, kindOf(item), item);
  return [...kinds.values()].flatMap((kind) => {
    const [head] = kind;
    if (head === undefined) return [];
    // What is no line of a list has no number to be told by.
    const whole = head.line === null ? kind : kind.slice(0, inFull(head));
    const rest = kind.slice(whole.length);
    const lines = whole.map((item) =>
      item.line === null
        ? `${lead}: ${item.text}: ${words(item)}`
        : `${placeOf(item)}: ${lead}: ${words(item)}`,
    );
    const [first] = rest;
    if (first === undefined) return lines;
    return [...lines, `${first.source}: ${alike}: ${linesOf(rest)}.`];
  });
}

function placeOf({ source, line, endLine }: LeftOut | DraftNote): string {
  return `${source}:${endLine === null || endLine === line ? line : `${line}-${endLine}`}`;
}

/** `lines 9-23, 25 and 27`; neighbours are one range. */
function linesOf(items: readonly (LeftOut | DraftNote)[]): string {
  const ranges: { from: number; to: number }[] = [];
  for (const { line, endLine } of items) {
    if (line === null) continue;
    const to = endLine ?? line;
    const last = ranges.at(-1);
    if (last !== undefined && line <= last.to + 1) last.to = Math.max(last.to, to);
    else ranges.push({ from: line, to });
  }
  const shown = ranges
    .slice(0, MAX_RANGES)
    .map(({ from, to }) => (from === to ? String(from) : `${from}-${to}`));
  const more = ranges.length - shown.length;
  const all = more > 0 ? [...shown, `${more} more places`] : shown;
  const one = ranges.length === 1 && ranges[0]?.from === ranges[0]?.to;
  const last = all.pop() ?? '';
  return `${one ? 'line' : 'lines'} ${all.length === 0 ? last : `${all.join(', ')} and ${last}`}`;
}
