/** Even offsets first, then odd ones (the other way round with `oddFirst`). The length must be even. */
export function deinterleave(bytes: Uint8Array, oddFirst: boolean): Uint8Array {
  const half = bytes.length / 2;
  const parted = new Uint8Array(bytes.length);
  const first = oddFirst ? 1 : 0;
  for (let index = 0; index < half; index++) {
    parted[index] = bytes[2 * index + first] ?? 0;
    parted[half + index] = bytes[2 * index + 1 - first] ?? 0;
  }
  return parted;
}

/** First half to even offsets, second half to odd ones (the other way round with `oddFirst`). The length must be even. */
export function interleave(bytes: Uint8Array, oddFirst: boolean): Uint8Array {
  const half = bytes.length / 2;
  const joined = new Uint8Array(bytes.length);
  const first = oddFirst ? 1 : 0;
  for (let index = 0; index < half; index++) {
    joined[2 * index + first] = bytes[index] ?? 0;
    joined[2 * index + 1 - first] = bytes[half + index] ?? 0;
  }
  return joined;
}
