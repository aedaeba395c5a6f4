import type { Algorithm } from '../../bytes/digests.js';
import { trimMarks } from './name.js';
import {
  algorithmNamed,
  algorithmOfLength,
  hexDigits,
  otherAlgorithmOfLength,
  readSize,
} from './values.js';

/**
 * What a piece of loose text is. `number`: a bare one that stands where a size
 * may; `point-number`: `16.384`; `break`: what sets words apart (a wide gap, a dash, a separator).
 */
export interface Token {
  readonly kind:
    | 'digest'
    | 'crc-or-size'
    | 'bad-hex'
    | 'other-hex'
    | 'bytes'
    | 'number'
    | 'point-number'
    | 'place-or-size'
    | 'rounded'
    | 'label'
    | 'quoted'
    | 'word'
    | 'break';
  /** Offsets in the line. */
  readonly start: number;
  readonly end: number;
  /** Digits of a digest, lower-case, or of a number; else the text itself. */
  readonly value: string;
  readonly algorithm?: Algorithm;
  /** For hex digits of a wrong number: what was to be there, when that is said. */
  readonly wanted?: Algorithm;
}

/** Words that describe a value and are part of no name. */
const LABELS =
  /^(?:size|length|checksums?|hash(?:es)?|digests?|sums?|bytes?|octets?|b|[kmg]i?b)$/iu;
const UNIT = /^(?:b|bytes?|octets?)$/iu;
const ROUNDING_UNIT = /^[kmg](?:i?b)?$/iu;
const SIZE_LABEL = /^(?:size|length)$/iu;

/** Longer runs of hex digits than words and numbers are; of a wrong length they are a checksum gone wrong. */
const LONG_RUN = 16;

/** Cuts a line into tokens; linear in its length. */
export function lexLine(line: string): Token[] {
  return settle(pieces(line), line);
}

/** Quoted text, a wide gap or separator, or a word. */
const PIECE =
  /"([^"]{1,255})"|`([^`]{1,255})`|\u201c([^\u201d]{1,255})\u201d|(\t|[ \u00a0]{2,}|[|;])|([^\s|;"`\u201c\u201d]+)|["`\u201c\u201d]/gu;

function pieces(line: string): Token[] {
  const tokens: Token[] = [];
  for (const found of line.matchAll(PIECE)) {
    const start = found.index;
    const end = start + found[0].length;
    const quoted = found[1] ?? found[2] ?? found[3];
    if (quoted !== undefined) tokens.push(quotedToken(quoted, start, end));
    else if (found[4] !== undefined) tokens.push({ kind: 'break', start, end, value: found[4] });
    else if (found[5] !== undefined) {
      for (const token of words(found[5], start)) tokens.push(token);
    }
  }
  return tokens;
}

function quotedToken(text: string, start: number, end: number): Token {
  return valueToken(text, null, start, end) ?? { kind: 'quoted', start, end, value: text };
}

/** Only marks: a bullet, a dash, an arrow, an equals sign. */
const MARKS = /^[-\u2013\u2014=:*\u2022>/+.,~]+$/u;
const ORDINAL = /^[0-9]{1,4}[.)]$/u;

/** A number with its thousands set apart, and what a sentence puts around it. */
const GROUPED = /^[([{<]*[0-9]{1,3}([,.'\u2019])[0-9]{3}(?:\1[0-9]{3})*(?:b|bytes?)?[)\]}>.:,]*$/iu;

/** A run without white space: `MD5:…`, `(16384`, `a,b`, a word. */
function words(run: string, offset: number): Token[] {
  if (GROUPED.test(run)) return grouped(run, offset, offset + run.length);
  const tokens: Token[] = [];
  let start = 0;
  // A comma sets apart here as it does in a table; a name that holds one has to be in quotes.
  for (const part of run.split(',')) {
    if (start > 0)
      tokens.push({ kind: 'break', start: offset + start - 1, end: offset + start, value: ',' });
    if (part !== '') {
      for (const token of word(part, offset + start)) tokens.push(token);
    }
    start += part.length + 1;
  }
  return tokens;
}

/** With a point it is only a size where `bytes` stands beside it: see settleNumbers. */
function grouped(run: string, start: number, end: number): Token[] {
  const value = run.replaceAll(/[^0-9]/gu, '');
  const kind = /b/iu.test(run) ? 'bytes' : run.includes('.') ? 'point-number' : 'number';
  return [{ kind, start, end, value }];
}

function word(text: string, start: number): Token[] {
  const end = start + text.length;
  if (MARKS.test(text) || ORDINAL.test(text)) return [{ kind: 'break', start, end, value: text }];
  const core = trimMarks(text, "([{<'*", ")]}>.:'*");
  const stop: Token[] = /:['*)\]]*$/u.test(text)
    ? [{ kind: 'break', start: end, end, value: ':' }]
    : [];
  const [, name, mark, rest] = /^([A-Za-z0-9_-]{2,12})([:=])(.+)$/u.exec(core) ?? [];
  if (name !== undefined && rest !== undefined && mark !== undefined) {
    const labelled = valueToken(rest, name, start, end);
    if (labelled !== null && isLabel(name))
      return [{ kind: 'label', start, end: start, value: name }, labelled];
  }
  if (isLabel(core)) return [{ kind: 'label', start, end, value: core }, ...stop];
  const value = valueToken(core, null, start, end);
  return [value ?? { kind: 'word', start, end, value: text }, ...stop];
}

function isLabel(word: string): boolean {
  return (
    LABELS.test(word) || algorithmNamed(word) !== null || /^sha-?(?:224|384|512)$/iu.test(word)
  );
}

/** A digest or a size; null when the text is neither. */
function valueToken(text: string, label: string | null, start: number, end: number): Token | null {
  const at = { start, end };
  const hex = hexDigits(text);
  const wanted = label === null ? null : algorithmNamed(label);
  if (hex !== null && (label === null || !SIZE_LABEL.test(label))) {
    const algorithm = algorithmOfLength(hex.length);
    if (algorithm !== null && (wanted === null || wanted === algorithm)) {
      const doubtful = algorithm === 'crc32' && wanted === null && /^[0-9]{8}$/u.test(text);
      return doubtful
        ? { kind: 'crc-or-size', ...at, value: hex }
        : { kind: 'digest', ...at, value: hex, algorithm };
    }
    if (otherAlgorithmOfLength(hex.length) !== null)
      return { kind: 'other-hex', ...at, value: hex };
    if (wanted !== null) return { kind: 'bad-hex', ...at, value: hex, wanted };
    if (hex.length >= LONG_RUN) return { kind: 'bad-hex', ...at, value: hex };
  }
  if (/^[0-9]{1,15}$/u.test(text)) return { kind: 'number', ...at, value: text };
  const size = /^[0-9~]/u.test(text) ? readSize(text) : null;
  if (size === 'rounded') return { kind: 'rounded', ...at, value: text };
  return size === null ? null : { kind: 'bytes', ...at, value: String(size.bytes) };
}

const NUMBERS: ReadonlySet<Token['kind']> = new Set(['number', 'point-number', 'crc-or-size']);

/**
 * Tells by what stands beside a number whether it is a size, and beside 8
 * digits whether they are a CRC-32; units are none where no number is in front.
 */
function settle(tokens: readonly Token[], line: string): Token[] {
  return tokens.map((token, index) => {
    const unit =
      token.kind === 'label' && (UNIT.test(token.value) || ROUNDING_UNIT.test(token.value));
    if (unit && !NUMBERS.has(tokens[index - 1]?.kind ?? 'word')) {
      return { ...token, kind: 'word', value: line.slice(token.start, token.end) };
    }
    if (token.kind === 'digest') {
      const said = algorithmNamed(lastLabel(tokens, index) ?? '');
      const wrong = said !== null && said !== token.algorithm;
      return wrong ? { ...token, kind: 'bad-hex', wanted: said } : token;
    }
    if (!NUMBERS.has(token.kind)) return token;
    const before = tokens[index - 1];
    const after = tokens[index + 1];
    if (after?.kind === 'label' && UNIT.test(after.value)) return { ...token, kind: 'bytes' };
    if (after !== undefined && ROUNDING_UNIT.test(after.value)) {
      return { ...token, kind: 'rounded', value: `${token.value} ${after.value}` };
    }
    const label = lastLabel(tokens, index);
    if (label !== null && SIZE_LABEL.test(label)) return { ...token, kind: 'bytes' };
    if (token.kind === 'crc-or-size') {
      const algorithm = label === null ? null : algorithmNamed(label);
      if (algorithm !== null && algorithm !== 'crc32')
        return { ...token, kind: 'bad-hex', wanted: algorithm };
      return algorithm === 'crc32' ? { ...token, kind: 'digest', algorithm } : token;
    }
    if (token.kind === 'point-number') return { ...token, kind: 'break' };
    const afterWord = after?.kind === 'word' || after?.kind === 'quoted';
    if (before === undefined && afterWord) return { ...token, kind: 'place-or-size' };
    return before?.kind === 'word' && afterWord ? { ...token, kind: 'word' } : token;
  });
}

/** The label right in front, over marks such as `=` and `:`. */
function lastLabel(tokens: readonly Token[], index: number): string | null {
  for (let at = index - 1; at >= 0; at--) {
    const token = tokens[at];
    if (token?.kind === 'label') return token.value;
    if (token?.kind !== 'break') return null;
  }
  return null;
}
