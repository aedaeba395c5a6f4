/** Whether this machine has the low byte of a 16-bit word first. */
const LOW_FIRST = new Uint8Array(Uint16Array.of(1).buffer)[0] === 1;

/** Even offsets first, then odd ones (the other way round with `oddFirst`). The length must be even. */
export function deinterleave(bytes: Uint8Array, oddFirst: boolean): Uint8Array {
  const half = bytes.length / 2;
  const pairs = new Uint16Array(new Uint8Array(bytes).buffer); // a copy, as words need even addresses
  const parted = new Uint8Array(bytes.length);
  const { first, second } = shifts(oddFirst);
  for (let index = 0; index < half; index++) {
    const pair = pairs[index] ?? 0;
    parted[index] = pair >> first; // the array keeps the low 8 bits
    parted[half + index] = pair >> second;
  }
  return parted;
}

/** First half to even offsets, second half to odd ones (the other way round with `oddFirst`). The length must be even. */
export function interleave(bytes: Uint8Array, oddFirst: boolean): Uint8Array {
  const half = bytes.length / 2;
  const pairs = new Uint16Array(half);
  const { first, second } = shifts(oddFirst);
  for (let index = 0; index < half; index++) {
    pairs[index] = ((bytes[index] ?? 0) << first) | ((bytes[half + index] ?? 0) << second);
  }
  return new Uint8Array(pairs.buffer);
}

/** Bits by which the byte of the first and of the second half are shifted in a pair. */
function shifts(oddFirst: boolean): { readonly first: number; readonly second: number } {
  return LOW_FIRST === oddFirst ? { first: 8, second: 0 } : { first: 0, second: 8 };
}
