/** Hashes files off the page's own thread, one after another. */
import { digestStream, hashWasmEngine, ReadError } from '@firmtally/core';
import { chunksOf } from '../folder/chunks.js';
import type { Job, Reply } from './protocol.js';

/** Milliseconds between two words of progress: what a bar can show. */
const TELL_EVERY = 50;

const tell = (reply: Reply): void => {
  (self as unknown as { postMessage(message: Reply): void }).postMessage(reply);
};

let before: Promise<void> = Promise.resolve();
self.addEventListener('message', ({ data }: MessageEvent<Job>) => {
  before = before.then(() => hash(data));
});

async function hash({ id, file, algorithms }: Job): Promise<void> {
  let untold = 0;
  let told = Date.now();
  const onBytes = (count: number): void => {
    untold += count;
    if (Math.abs(Date.now() - told) < TELL_EVERY) return;
    tell({ id, bytes: untold });
    untold = 0;
    told = Date.now();
  };
  try {
    const done = await digestStream(chunksOf(file), algorithms, hashWasmEngine, { onBytes });
    if (untold > 0) tell({ id, bytes: untold });
    tell({ id, done });
  } catch (error) {
    const fault =
      error instanceof ReadError
        ? { code: error.code, message: error.message }
        : { code: 'io-error' as const, message: String(error) };
    tell({ id, fault });
  }
}
