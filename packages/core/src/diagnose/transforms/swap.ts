/** Reverses the bytes in each group of `unit`; an incomplete last group stays, as with `conv=swab` of POSIX dd. */
export function swapBytes(bytes: Uint8Array, unit: 2 | 4): Uint8Array {
  const swapped = new Uint8Array(bytes); // `slice` of a Node Buffer would share its memory
  const end = bytes.length - (bytes.length % unit);
  for (let offset = 0; offset < end; offset += unit) {
    for (let index = 0; index < unit; index++) {
      swapped[offset + index] = bytes[offset + unit - 1 - index] ?? 0;
    }
  }
  return swapped;
}

/** Exchanges the two 16-bit halves of each 4 bytes; an incomplete last group stays. */
export function swapHalves(bytes: Uint8Array): Uint8Array {
  const swapped = new Uint8Array(bytes); // `slice` of a Node Buffer would share its memory
  const end = bytes.length - (bytes.length % 4);
  for (let offset = 0; offset < end; offset += 4) {
    swapped[offset] = bytes[offset + 2] ?? 0;
    swapped[offset + 1] = bytes[offset + 3] ?? 0;
    swapped[offset + 2] = bytes[offset] ?? 0;
    swapped[offset + 3] = bytes[offset + 1] ?? 0;
  }
  return swapped;
}
