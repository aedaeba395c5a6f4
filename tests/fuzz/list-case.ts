import { FirmtallyError, readList, type ListReading, type ListRow } from '@firmtally/core';
import { check } from './check.js';
import { digestsOf, makeContents } from './contents.js';
import type { Digests } from './expectation.js';
import { SHAPES, writeJson, writeLines, type RowModel, type WrittenList } from './list-writer.js';
import { mutateBytes } from './mutate-bytes.js';
import { makePath } from './names.js';
import { Random } from './random.js';

const SYSTEMS = ['Osprey 8', 'Kestrel', 'caf\u00e9', 'x'];
const LABELS = ['East', 'revision B', '1.0', 'west, late'];

/** A list says what was written into it, line by line, and of every other line that it is not used. */
// eslint-disable-next-line @typescript-eslint/require-await -- cases are asynchronous
export async function knownListCase(seed: number): Promise<void> {
  const random = new Random(seed);
  const written = makeList(random);
  const bytes = encode(written.text, random);
  const reading = readList('list', bytes);
  const seen = { reading, written };
  const say = (row: ListRow | (RowModel & { line: number })): string =>
    JSON.stringify([
      row.line,
      row.path,
      row.size,
      Object.entries(row.digests).sort(),
      row.label,
      row.system,
      row.optional,
    ]);
  check(
    JSON.stringify(reading.rows.map(say)) === JSON.stringify(written.rows.map(say)),
    'the rows that were written',
    {
      got: reading.rows.map(say),
      wanted: written.rows.map(say),
      text: written.text,
      unused: reading.unused,
    },
  );
  check(
    JSON.stringify(lineNumbers(reading)) === JSON.stringify(written.unused),
    'the lines that cannot be used',
    seen,
  );
}

/** Whatever a list holds: every value read stands in its line, and every line is accounted for. */
// eslint-disable-next-line @typescript-eslint/require-await -- cases are asynchronous
export async function damagedListCase(seed: number): Promise<void> {
  const random = new Random(seed);
  const bytes = mutateBytes(random, Buffer.from(encode(makeList(random).text, random)));
  let reading: ListReading;
  try {
    reading = readList('list', bytes);
  } catch (error) {
    check(
      error instanceof FirmtallyError && error.code === 'list-invalid',
      'a plain refusal',
      error,
    );
    return;
  }
  const utf16 =
    (bytes[0] === 0xff && bytes[1] === 0xfe) || (bytes[0] === 0xfe && bytes[1] === 0xff);
  if (utf16) return; // decoded by the platform, and mostly no text any more
  const lines = bytes.toString('utf8').split('\n');
  const isJson = /^\ufeff?\s*[[{]/u.test(lines[0] ?? '');
  for (const row of reading.rows) {
    // A JSON object, or a quoted cell, may go over several lines.
    const text = lines.slice(row.line - 1, isJson ? undefined : row.line + 3).join('\n');
    valuesStandIn(row, text);
  }
  if (!isJson) accountedFor(reading, lines);
}

function valuesStandIn(row: ListRow, text: string): void {
  const seen = { row, text: text.slice(0, 500) };
  for (const digest of Object.values(row.digests)) {
    const at = text.toLowerCase().indexOf(digest);
    check(at !== -1, 'a digest that stands in its line', seen);
  }
  if (row.size !== null) {
    const digits = text.replaceAll(/[^0-9a-fx]/giu, '');
    const hex = `0x${row.size.toString(16)}`;
    check(
      digits.includes(String(row.size)) || digits.toLowerCase().includes(hex),
      'a size that stands in its line',
      seen,
    );
  }
  // Escapes, and the marks of Markdown, may stand between; letters and digits have to be there in their order.
  const letters = Array.from(row.path).filter((character) => /[a-z0-9]/iu.test(character));
  let at = 0;
  for (const letter of letters) {
    at = text.indexOf(letter, at) + 1;
    check(at > 0, 'a name whose letters stand in its line', seen);
  }
  check(
    !/\\|\0|(?:^|\/)\.{1,2}(?:\/|$)|^\//u.test(row.path),
    'a path that a manifest can hold',
    seen,
  );
}

/** Every line with eight hex digits in a row is a row or is named, unless it is a comment. */
function accountedFor(reading: ListReading, lines: readonly string[]): void {
  const said = new Set([...lineNumbers(reading), ...reading.rows.map(({ line }) => line)]);
  for (const [index, line] of lines.entries()) {
    if (!/[0-9a-f]{8}/iu.test(line) || /^\ufeff?\s*[#;]/u.test(line) || said.has(index + 1))
      continue;
    // Inside of a quoted cell that goes over several lines.
    const inside = reading.rows.some((row) => row.line <= index + 1 && index + 1 <= row.line + 3);
    check(
      inside && /"/u.test(lines.slice(Math.max(0, index - 3), index + 1).join('')),
      'a line that is accounted for',
      {
        line: index + 1,
        text: line,
        reading,
      },
    );
  }
}

function lineNumbers({ unused }: ListReading): number[] {
  return unused.flatMap(({ line, endLine }) =>
    Array.from({ length: endLine - line + 1 }, (_, index) => line + index),
  );
}

/** Rows of one to twelve files. */
export function makeRows(random: Random): RowModel[] {
  const contents = makeContents(random, 6);
  return Array.from({ length: random.between(1, 12) }, () => {
    const bytes = random.pick(contents);
    const all = digestsOf(bytes);
    const digests: Digests = Object.fromEntries(random.some(Object.entries(all), 0.6));
    return {
      path: makePath(random),
      size: random.chance(0.6) ? bytes.length + random.pick([0, 0, 1000, 16384]) : null,
      digests: Object.keys(digests).length === 0 ? { md5: all.md5 } : digests,
      label: random.chance(0.4) ? random.pick(LABELS) : null,
      system: random.chance(0.5) ? random.pick(SYSTEMS) : null,
      optional: random.chance(0.4) ? random.chance(0.5) : null,
    };
  });
}

function makeList(random: Random): WrittenList {
  if (random.chance(0.12)) return writeJson(makeRows(random), random);
  const sections = Array.from({ length: random.pick([1, 1, 2, 3]) }, () => {
    const shape = random.pick(SHAPES);
    const rows = makeRows(random)
      .map((row) => shape.fit(row, random))
      .filter((row) => row !== null);
    return [shape, rows] as const;
  });
  const open = sections.filter(([shape]) => !shape.ends);
  const last = sections.find(([shape]) => shape.ends);
  return writeLines(last === undefined ? open : [...open, last], random);
}

function encode(text: string, random: Random): Uint8Array {
  if (random.chance(0.1)) return Buffer.from(`\ufeff${text}`, 'utf16le');
  return Buffer.from(random.chance(0.1) ? `\ufeff${text}` : text);
}
