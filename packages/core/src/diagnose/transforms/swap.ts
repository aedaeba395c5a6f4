/** Reverses the bytes in each group of `unit`; an incomplete last group stays, as with `conv=swab` of POSIX dd. */
export function swapBytes(bytes: Uint8Array, unit: 2 | 4): Uint8Array {
  const swapped = copyOf(bytes);
  if (unit === 2) {
    const words = new Uint16Array(swapped.buffer, 0, bytes.length >> 1);
    for (let index = 0; index < words.length; index++) {
      const word = words[index] ?? 0;
      words[index] = (word << 8) | (word >> 8);
    }
  } else {
    const words = wordsOf(swapped);
    for (let index = 0; index < words.length; index++) {
      const word = words[index] ?? 0;
      words[index] = (word << 24) | ((word & 0xff00) << 8) | ((word >> 8) & 0xff00) | (word >>> 24);
    }
  }
  return swapped;
}

/** Exchanges the two 16-bit halves of each 4 bytes; an incomplete last group stays. */
export function swapHalves(bytes: Uint8Array): Uint8Array {
  const swapped = copyOf(bytes);
  const words = wordsOf(swapped);
  for (let index = 0; index < words.length; index++) {
    const word = words[index] ?? 0;
    words[index] = (word << 16) | (word >>> 16);
  }
  return swapped;
}

/** In memory of its own from offset 0; `slice` of a Node Buffer would share the original's. */
function copyOf(bytes: Uint8Array): Uint8Array<ArrayBuffer> {
  return new Uint8Array(bytes);
}

/** Complete groups of 4 bytes. What is done to them here means the same in either byte order of the machine. */
function wordsOf(bytes: Uint8Array<ArrayBuffer>): Uint32Array {
  return new Uint32Array(bytes.buffer, 0, bytes.length >> 2);
}
