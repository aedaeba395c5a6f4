import { ReadError, type ByteRange, type ByteStream, type RandomAccess } from './source.js';

/** Joins a stream into one array of its own; null when it holds more than `limit` bytes. Throws what the stream throws. */
export async function collect(stream: ByteStream, limit: number): Promise<Uint8Array | null> {
  let joined = new Uint8Array(Math.min(limit, 64 * 1024));
  let length = 0;
  for await (const chunk of stream) {
    if (chunk.length > limit - length) return null;
    if (length + chunk.length > joined.length) {
      const grown = new Uint8Array(Math.min(limit, Math.max(length + chunk.length, 2 * length)));
      grown.set(joined.subarray(0, length));
      joined = grown;
    }
    joined.set(chunk, length);
    length += chunk.length;
  }
  return joined.subarray(0, length);
}

/** Reads a range into one array. Throws `ReadError('changed-while-read')` when fewer bytes come than the size promised. */
export async function readRange(content: RandomAccess, range: ByteRange): Promise<Uint8Array> {
  const end = Math.min(range.end, content.size);
  const wanted = Math.max(0, end - range.start);
  const bytes = new Uint8Array(wanted);
  let length = 0;
  if (wanted === 0) return bytes;
  for await (const chunk of content.read({ start: range.start, end })) {
    if (chunk.length > wanted - length) throw changed();
    bytes.set(chunk, length);
    length += chunk.length;
  }
  if (length !== wanted) throw changed();
  return bytes;
}

function changed(): ReadError {
  return new ReadError('changed-while-read', 'The file changed size while it was read.');
}
