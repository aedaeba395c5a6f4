import type { RandomAccess } from './source.js';

/**
 * Bytes held in memory as a {@link RandomAccess}; ranges are clipped to the end.
 *
 * @example
 * memoryAccess(bytes).size === bytes.length; // => true
 */
export function memoryAccess(bytes: Uint8Array): RandomAccess {
  return {
    size: bytes.length,
    // eslint-disable-next-line @typescript-eslint/require-await -- a stream is async by its type
    async *read({ start, end }) {
      if (end > start && start < bytes.length) yield bytes.subarray(start, end);
    },
  };
}
