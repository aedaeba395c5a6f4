import { Readable } from 'node:stream';
import { createGunzip } from 'node:zlib';
import type { ByteStream, GunzipFailure } from '@firmtally/core';

/** See ArchiveReader.gunzip in the core. */
export async function gunzip(
  source: ByteStream,
  limit: number,
): Promise<Uint8Array | GunzipFailure> {
  let sourceError: { readonly error: unknown } | null = null;
  const inflater = createGunzip();
  const feed = Readable.from(copies(source), { objectMode: false });
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

/** Streams hold more than one chunk, and a ByteStream's is only valid until the next. */
async function* copies(source: ByteStream): AsyncGenerator<Buffer> {
  for await (const chunk of source) yield Buffer.from(chunk);
}
