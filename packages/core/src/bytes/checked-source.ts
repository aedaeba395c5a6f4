import { FirmtallyError } from '../errors.js';
import { escapeText } from '../text/escape.js';
import { abortable } from './abort.js';
import {
  ReadError,
  type ByteRange,
  type ByteStream,
  type ContentSource,
  type Entry,
  type Listed,
} from './source.js';

/**
 * The bytes of a file of a caller's own source. An error of the source names
 * the path it is about.
 *
 * @param signal ends every reading, whether or not the source heeds it
 */
export async function* checkedOpen(
  source: ContentSource,
  path: string,
  range: ByteRange | undefined,
  signal: AbortSignal | undefined,
): ByteStream {
  try {
    for await (const chunk of abortable(source.open(path, range), signal)) {
      if (!((chunk as unknown) instanceof Uint8Array)) {
        throw new TypeError('a chunk is no Uint8Array');
      }
      yield chunk;
    }
  } catch (error) {
    throw sourceError(path, error, signal);
  }
}

/** Throws FirmtallyError('source-invalid') when one path stands twice in a row of sorted entries. */
export function checkDistinct(sorted: readonly Listed[]): void {
  let before: string | null = null;
  for (const { path } of sorted) {
    if (path === before) throw badListing(path, 'it is listed twice');
    before = path;
  }
}

/** Throws FirmtallyError('source-invalid') naming the path when a source may not list this. */
export function checkListed(item: Listed): void {
  const { link, kind } = item;
  const path: unknown = item.path;
  const size = (item as Partial<Entry>).size ?? 0;
  if (typeof path !== 'string' || NOT_BELOW.test(path)) {
    throw badListing(String(path), "it is not '/'-joined names below the root");
  }
  checkSize(path, size);
  if ((kind === 'link') !== (link !== undefined)) {
    throw badListing(path, '`link` is for entries of kind `link`, and only for them');
  }
  const target = link?.resolvesTo;
  if (typeof target === 'string' && NOT_BELOW.test(target)) {
    throw badListing(path, `it leads to "${target}", which is not '/'-joined names below the root`);
  }
}

/** Throws FirmtallyError('source-invalid') when this is not the size of what was listed. Gives it. */
export function checkStat(item: Listed, found: Entry): Entry {
  if (found.path !== item.path) {
    throw badListing(item.path, `asked for its size, the source tells that of "${found.path}"`);
  }
  checkSize(found.path, found.size);
  return found;
}

function checkSize(path: string, size: number): void {
  if (Number.isSafeInteger(size) && size >= 0) return;
  throw badListing(path, `its size is ${String(size)}, no count of bytes`);
}

/** An empty name, `.` or `..` in it, or a NUL. */
const NOT_BELOW = /^$|(?:^|\/)(?:\.{1,2})?(?:\/|$)|\0/u;

function badListing(path: string, why: string): FirmtallyError {
  return new FirmtallyError(
    'source-invalid',
    `The folder's source lists "${escapeText(path)}": ${escapeText(why)}.`,
    "A source lists paths such as a/b.bin: names below the root, joined by '/', each path once.",
  );
}

/** What the library itself can tell of stays as it is. */
function sourceError(path: string, error: unknown, signal: AbortSignal | undefined): unknown {
  if (error instanceof ReadError || error instanceof FirmtallyError) return error;
  if (signal?.aborted === true && error === signal.reason) return error;
  const message = error instanceof Error ? error.message : String(error);
  return new FirmtallyError(
    'source-invalid',
    `${escapeText(path)}: its source failed: ${escapeText(message)}`,
    'A source throws a ReadError for a file that cannot be read.',
    { cause: error },
  );
}
