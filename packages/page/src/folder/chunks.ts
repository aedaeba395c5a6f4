import { ReadError, type ByteStream } from '@firmtally/core';

/** Bytes up to which a file is read at once, which takes half the time of a stream. Own choice. */
const AT_ONCE = 1024 * 1024;

/** A file's bytes as they come. Throws ReadError when the file changed or went away since it was picked. */
export async function* chunksOf(blob: Blob): ByteStream {
  if (blob.size <= AT_ONCE) {
    let bytes: ArrayBuffer;
    try {
      bytes = await blob.arrayBuffer();
    } catch (error) {
      throw gone(error);
    }
    if (bytes.byteLength > 0) yield new Uint8Array(bytes);
    return;
  }
  // Not every browser has `for await` over a stream.
  const reader = blob.stream().getReader();
  try {
    for (;;) {
      const { done, value } = await reader.read();
      if (done) return;
      yield value;
    }
  } catch (error) {
    throw gone(error);
  } finally {
    await reader.cancel().catch(() => undefined); // there is nothing left to cancel then
  }
}

/** File API, 7: NotFoundError when it is not there any more, NotReadableError when it changed or may not be read. */
function gone(error: unknown): ReadError {
  const name = error instanceof DOMException ? error.name : '';
  return name === 'NotFoundError'
    ? new ReadError('vanished', 'it is not there any more: was the card pulled out?', {
        cause: error,
      })
    : new ReadError('changed-while-read', 'it changed or went away after it was picked', {
        cause: error,
      });
}
