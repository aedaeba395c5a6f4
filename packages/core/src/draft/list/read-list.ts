import { decodeWritten } from '../../text/decode.js';
import { FirmtallyError } from '../../errors.js';
import { leftOutFor } from '../../facts/left-out.js';
import { MAX_MANIFEST_BYTES } from '../../manifest/limits.js';
import { readChecksumLine, readNameLine } from './checksum-line.js';
import { cutLine, cutRows, delimitedHeader, MAX_HEADER } from './delimited.js';
import type { Header } from './header.js';
import { readJsonLine, readJsonList } from './json-list.js';
import { ListBuilder } from './list-builder.js';
import { readLooseLine } from './loose-line.js';
import { markdownCells, markdownHeader } from './markdown.js';
import type { LineOutcome, ListReading } from './model.js';
import { readTableRow } from './table-row.js';

/** Bytes of one list, as of a manifest. */
const MAX_LIST_BYTES = MAX_MANIFEST_BYTES;

/**
 * Reads names and checksums as somebody posted them: lines of md5sum, sha1sum
 * and sha256sum, BSD's tagged lines, names with CRC-32, tables with a header
 * (CSV, TSV, with `;`, Markdown), JSON, and loose text, also one after another
 * in one list. packages/core/docs/lists.md has the exact rules. Takes UTF-8,
 * and UTF-16 with a byte order mark; time and memory grow with the list.
 *
 * @param path names the list in an error
 * @throws FirmtallyError('list-invalid') when the list is larger than 4 MiB,
 * no text, or JSON that is broken
 * @example
 * const posted = new TextEncoder().encode('osprey_boot.bin,9,cbf43926\n');
 * readList('posted.csv', posted).rows.map(({ path, size }) => [path, size]);
 * // => [['osprey_boot.bin', 9]]
 */
export function readList(path: string, bytes: Uint8Array): ListReading {
  if (bytes.length > MAX_LIST_BYTES) {
    throw new FirmtallyError(
      'list-invalid',
      `${path}: the list is larger than ${MAX_LIST_BYTES >> 20} MiB`,
      'Split it into several lists; they can be given together.',
    );
  }
  const text = decodeWritten(bytes);
  if (text.includes('\0')) {
    throw new FirmtallyError(
      'list-invalid',
      `${path}: this is binary data, not a list`,
      'Name the list, or draft from the file itself by leaving out that it is a list.',
    );
  }
  const builder = new ListBuilder();
  if (!readJsonList(path, text, builder, readLine)) readLines(linesOf(text), builder);
  return builder.reading();
}

function linesOf(text: string): string[] {
  const lines = text.split('\n').map((line) => (line.endsWith('\r') ? line.slice(0, -1) : line));
  if (lines.at(-1) === '') lines.pop();
  return lines;
}

/** Nothing, or a ruled line: no letter and no digit. */
function isEmpty(line: string): boolean {
  return !/[\p{L}\p{N}]/u.test(line);
}

function isComment(line: string): boolean {
  return /^\s*[#;]/u.test(line);
}

function readLines(lines: readonly string[], builder: ListBuilder): void {
  // Only lists of names and CRC-32 have such comments.
  const certain = lines.some((line) => line.startsWith(';'));
  let at = 0;
  while (at < lines.length && !builder.full) {
    const line = lines[at] ?? '';
    const table = tableAt(lines, at);
    if (table !== null) {
      builder.notes(at + 1, table.header.notes);
      at = table.read(lines, at, builder);
      continue;
    }
    if (!isEmpty(line) && !isComment(line)) builder.add(at + 1, line, readLine(line, certain));
    at++;
  }
}

/** One line without a table around it. @param certain see readNameLine */
function readLine(line: string, certain = false): LineOutcome {
  const nameFirst = certain && !/^\\?[0-9a-f]{32,}\s/iu.test(line);
  return (
    (nameFirst ? readNameLine(line, true) : null) ??
    readChecksumLine(line) ??
    readJsonLine(line) ??
    readNameLine(line, certain) ??
    readLooseLine(line)
  );
}

/** A table whose header was found. `read` gives the first line after it. */
interface FoundTable {
  readonly header: Header;
  read(lines: readonly string[], at: number, builder: ListBuilder): number;
}

/** Every header of use has one of these in it. */
const MENTIONS_CHECKSUM = /md5|sha|crc|hash|sum|digest|fingerprint/iu;

function tableAt(lines: readonly string[], at: number): FoundTable | null {
  const line = lines[at] ?? '';
  if (line.length > MAX_HEADER || !MENTIONS_CHECKSUM.test(line)) return null;
  const markdown = markdownHeader(line, lines[at + 1]);
  if (markdown !== null) {
    return {
      header: markdown,
      read: (all, start, builder) => readMarkdown(all, start, markdown, builder),
    };
  }
  const delimited = delimitedHeader(line);
  if (delimited === null) return null;
  const { header, delimiter } = delimited;
  return {
    header,
    read: (all, start, builder) => readDelimited(all, start, header, delimiter, builder),
  };
}

/** Rows up to the first line without a `|`. */
function readMarkdown(
  lines: readonly string[],
  start: number,
  header: Header,
  builder: ListBuilder,
): number {
  let at = start + 2;
  for (; at < lines.length && !builder.full; at++) {
    const line = lines[at] ?? '';
    if (!line.includes('|')) break;
    if (!isEmpty(line)) builder.add(at + 1, line, readTableRow(markdownCells(line), header));
  }
  return at;
}

/** Rows up to the next header. */
function readDelimited(
  lines: readonly string[],
  start: number,
  header: Header,
  delimiter: '\t' | ';' | ',',
  builder: ListBuilder,
): number {
  let end = start + 1;
  while (end < lines.length && tableAt(lines, end) === null) end++;
  const table = lines.slice(start + 1, end);
  const single = (line: string, number: number, torn: boolean): void => {
    if (isEmpty(line)) return;
    const cells = !line.includes(delimiter)
      ? undefined
      : torn && isTorn(line)
        ? null
        : cutLine(line, delimiter);
    if (cells === undefined && isComment(line)) return;
    const outcome =
      cells === undefined
        ? readLine(line)
        : cells === null
          ? leftOutFor('open-quote', {})
          : readTableRow(cells, header);
    // A comment may hold anything; one that makes a row is none.
    if ('code' in outcome && line.trimStart().startsWith('#')) return;
    builder.add(number, line, outcome);
  };
  const { rows, rest } = cutRows(table, delimiter);
  for (const row of rows) {
    const number = start + 2 + row.line;
    const outcome = row.lines > 1 ? readTableRow(row.cells, header) : null;
    if (outcome !== null && 'row' in outcome && !/[\r\n]/u.test(outcome.row.path)) {
      builder.add(number, table[row.line] ?? '', outcome);
      continue;
    }
    // A cell of several lines is mostly a quote too many: each line by itself.
    for (let at = row.line; at < row.line + row.lines; at++) {
      single(table[at] ?? '', start + 2 + at, row.lines > 1);
    }
  }
  for (let at = rest; at < table.length; at++) single(table[at] ?? '', start + 2 + at, true);
  return end;
}

/** Whether a quoted cell starts or ends in another line. */
function isTorn(line: string): boolean {
  return line.split('"').length % 2 === 0;
}
