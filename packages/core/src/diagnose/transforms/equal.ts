/** Whether two byte strings are the same. */
export function equalBytes(a: Uint8Array, b: Uint8Array): boolean {
  if (a.length !== b.length) return false;
  for (let index = 0; index < a.length; index++) if (a[index] !== b[index]) return false;
  return true;
}

/** The offset at which the run of one repeated byte that ends the bytes begins. */
export function trailingRunStart(bytes: Uint8Array): number {
  const fill = bytes[bytes.length - 1];
  let start = bytes.length;
  while (start > 0 && bytes[start - 1] === fill) start--;
  return start;
}

/** Whether every byte equals the one `period` bytes before it. */
export function repeatsEvery(bytes: Uint8Array, period: number): boolean {
  for (let index = period; index < bytes.length; index++) {
    if (bytes[index] !== bytes[index - period]) return false;
  }
  return true;
}
