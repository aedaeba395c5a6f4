/**
 * Orders strings by their UTF-8 bytes, which is code point order; JavaScript's
 * `<` compares UTF-16 units and puts U+10000 and above before U+E000.
 *
 * @example
 * ['\u{10000}', '\ue000'].sort(compareUtf8); // => ['\ue000', '\u{10000}']
 */
export function compareUtf8(a: string, b: string): number {
  const length = Math.min(a.length, b.length);
  for (let index = 0; index < length; index++) {
    const x = a.charCodeAt(index);
    const y = b.charCodeAt(index);
    if (x === y) continue;
    // Both surrogates or neither: unit order is code point order.
    const xHigh = x >= 0xd800 && x <= 0xdfff;
    const yHigh = y >= 0xd800 && y <= 0xdfff;
    if (xHigh === yHigh) return x - y;
    return xHigh ? 1 : -1;
  }
  return a.length - b.length;
}

/** The keys of a map, sorted by {@link compareUtf8}. */
export function sortedBy<T>(items: Iterable<T>, key: (item: T) => string): T[] {
  return [...items].sort((a, b) => compareUtf8(key(a), key(b)));
}
