import { Readable } from 'node:stream';
import { ReadError, type RandomAccess } from '@firmtally/core';
import { RandomAccessReader } from 'yauzl';

/** Bytes read ahead at once: the central directory is asked for in small pieces. */
const WINDOW = 64 << 10;

/** Gives yauzl its bytes from a {@link RandomAccess}, small reads through a window. */
export class WindowReader extends RandomAccessReader {
  /** The first error of the source itself, as against one in the archive's structure. */
  failure: unknown = null;
  readonly #bytes: RandomAccess;
  #window = Buffer.alloc(0);
  #windowStart = 0;

  constructor(bytes: RandomAccess) {
    super();
    this.#bytes = bytes;
  }

  override _readStreamForRange(start: number, end: number): Readable {
    return Readable.from(this.#copies(start, end), { objectMode: false });
  }

  override read(
    buffer: Buffer,
    offset: number,
    length: number,
    position: number,
    callback: (error: Error | null, bytesRead?: number) => void,
  ): void {
    this.#readAt(position, length).then(
      (bytes) => {
        bytes.copy(buffer, offset);
        if (bytes.length < length) callback(new Error('the file ends too early'));
        else callback(null, length);
      },
      (error: unknown) => callback(error instanceof Error ? error : new Error(String(error))),
    );
  }

  async #readAt(position: number, length: number): Promise<Buffer> {
    const from = position - this.#windowStart;
    if (from < 0 || from + length > this.#window.length) {
      const parts: Buffer[] = [];
      const end = Math.min(position + Math.max(length, WINDOW), this.#bytes.size);
      for await (const chunk of this.#copies(position, end)) parts.push(chunk);
      this.#window = Buffer.concat(parts);
      this.#windowStart = position;
    }
    const start = position - this.#windowStart;
    return this.#window.subarray(start, start + length);
  }

  /** Copies, since streams hold more than one chunk and a ByteStream's is only valid until the next. */
  async *#copies(start: number, end: number): AsyncGenerator<Buffer> {
    if (!(start >= 0 && end <= this.#bytes.size)) {
      throw new ReadError('bad-archive', 'the ZIP points outside itself');
    }
    if (start >= end) return;
    try {
      for await (const chunk of this.#bytes.read({ start, end })) yield Buffer.from(chunk);
    } catch (error) {
      this.failure ??= error;
      throw error;
    }
  }
}
