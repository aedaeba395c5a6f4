import { FillWatch } from '../bytes/fill.js';
import type { ByteStream, ContentSource } from '../bytes/source.js';
import { Turns } from '../bytes/turns.js';
import type { Algorithm, DigestOptions, Digests, StreamDigests } from '../bytes/digests.js';
import { naming } from './platform-failure.js';
import type { DigestEngine } from './engine.js';

/** Bytes hashed in one go; a bigger chunk is cut, so that timers and input get their turn. */
const SLICE = 1 << 20;

/** One for all streams: small files by themselves would each end before theirs is due. */
const turns = new Turns();

/**
 * Digests a whole stream in one pass, memory flat. Other tasks get a turn every
 * 40 ms even when the stream itself never waits.
 *
 * @throws whatever the stream throws (ReadError), what `onBytes` throws, the signal's reason
 * @example
 * const { size } = await digestStream(card.open('osprey_boot.bin'), ['md5'], hashWasmEngine);
 * size; // => 9
 */
export async function digestStream(
  stream: ByteStream,
  algorithms: readonly Algorithm[],
  engine: DigestEngine,
  { onBytes, signal }: DigestOptions = {},
): Promise<StreamDigests> {
  const hasher = await engine.create(algorithms);
  const watch = new FillWatch();
  let ended = false;
  try {
    let size = 0;
    for await (const chunk of stream) {
      for (let start = 0; start < chunk.length; start += SLICE) {
        signal?.throwIfAborted();
        const slice = chunk.length <= SLICE ? chunk : chunk.subarray(start, start + SLICE);
        hasher.update(slice);
        watch.update(slice);
        size += slice.length;
        onBytes?.(slice.length);
        if (turns.isDue()) await turns.next();
      }
    }
    ended = true;
    const { fill } = watch;
    return { size, digests: hasher.digest(), ...(fill === undefined ? {} : { fill }) };
  } finally {
    // Gives the engine its memory back; what it computed is of no use here.
    if (!ended) hasher.digest();
  }
}

/**
 * Digests a file of a source: the source does it where it can, else it is read
 * through. An error of the engine names the path.
 *
 * @throws as {@link digestStream}
 */
export function digestFile(
  source: ContentSource,
  path: string,
  algorithms: readonly Algorithm[],
  engine: DigestEngine,
  options: DigestOptions = {},
): Promise<StreamDigests> {
  if (source.digestFile !== undefined) return source.digestFile(path, algorithms, options);
  return naming(path, digestStream(source.open(path), algorithms, engine, options));
}

/**
 * Digests bytes held in memory.
 *
 * @throws what the engine throws
 * @example
 * await digestBytes(new TextEncoder().encode('123456789'), ['crc32'], hashWasmEngine);
 * // => { crc32: 'cbf43926' }
 */
export async function digestBytes(
  bytes: Uint8Array,
  algorithms: readonly Algorithm[],
  engine: DigestEngine,
): Promise<Digests> {
  return (await digestStream(once(bytes), algorithms, engine)).digests;
}

// eslint-disable-next-line @typescript-eslint/require-await -- a stream is async by its type
async function* once(bytes: Uint8Array): ByteStream {
  yield bytes;
}
