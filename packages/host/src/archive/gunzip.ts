import { Readable } from 'node:stream';
import { createGunzip, gunzipSync } from 'node:zlib';
import type { ByteStream, GunzipFailure } from '@firmtally/core';

/** Bytes of gzip data up to which it is inflated at once: setting streams up takes 3 ms (measured). */
const SMALL = 64 << 10;

/** See ArchiveReader.gunzip in the core. */
export async function gunzip(
  source: ByteStream,
  limit: number,
): Promise<Uint8Array | GunzipFailure> {
  const begin: Buffer[] = [];
  let length = 0;
  const chunks = copies(source);
  for (let next = await chunks.next(); next.done !== true; next = await chunks.next()) {
    begin.push(next.value);
    length += next.value.length;
    if (length > SMALL) return gunzipStream(joined(begin, chunks), limit);
  }
  try {
    return gunzipSync(Buffer.concat(begin), { maxOutputLength: Math.max(1, limit) });
  } catch (error) {
    const { code } = error as NodeJS.ErrnoException;
    return code === 'ERR_BUFFER_TOO_LARGE' ? 'too-large' : 'damaged';
  }
}

async function gunzipStream(
  source: AsyncGenerator<Buffer>,
  limit: number,
): Promise<Uint8Array | GunzipFailure> {
  let sourceError: { readonly error: unknown } | null = null;
  const inflater = createGunzip();
  const feed = Readable.from(source, { objectMode: false });
  feed.on('error', (error) => {
    sourceError = { error };
    inflater.destroy(error);
  });
  feed.pipe(inflater);
  const parts: Buffer[] = [];
  let length = 0;
  try {
    for await (const part of inflater as AsyncIterable<Buffer>) {
      length += part.length;
      if (length > limit) return 'too-large';
      parts.push(part);
    }
    return Buffer.concat(parts, length);
  } catch {
    const failed = sourceError as { readonly error: unknown } | null;
    if (failed !== null) throw failed.error;
    return 'damaged'; // all that zlib itself objects to
  } finally {
    feed.destroy();
  }
}

async function* joined(
  begin: readonly Buffer[],
  rest: AsyncGenerator<Buffer>,
): AsyncGenerator<Buffer> {
  yield* begin;
  yield* rest;
}

/** Streams hold more than one chunk, and a ByteStream's is only valid until the next. */
async function* copies(source: ByteStream): AsyncGenerator<Buffer> {
  for await (const chunk of source) yield Buffer.from(chunk);
}
