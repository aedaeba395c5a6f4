/** Whether every byte is `value`. Looks at four bytes at once, as blank files may be large. */
export function isFilledWith(bytes: Uint8Array, value: number): boolean {
  // Fewer bytes may end before the first address that words can begin at.
  if (bytes.length < 8) return bytes.every((byte) => byte === value);
  const aligned = -bytes.byteOffset & 3;
  const words = new Uint32Array(
    bytes.buffer,
    bytes.byteOffset + aligned,
    (bytes.length - aligned) >> 2,
  );
  const word = (value * 0x01010101) >>> 0;
  for (let index = 0; index < words.length; index++) if (words[index] !== word) return false;
  for (let index = 0; index < aligned; index++) if (bytes[index] !== value) return false;
  for (let index = aligned + 4 * words.length; index < bytes.length; index++) {
    if (bytes[index] !== value) return false;
  }
  return true;
}

/** Watches a stream go by for being all 00 or all FF. Costs nothing once one byte is something else. */
export class FillWatch {
  #fill: number | null | undefined;

  update(chunk: Uint8Array): void {
    if (this.#fill === null || chunk.length === 0) return;
    const first = chunk[0] ?? 0;
    const expected = this.#fill ?? first;
    const blank = (expected === 0x00 || expected === 0xff) && isFilledWith(chunk, expected);
    this.#fill = blank ? expected : null;
  }

  /** Undefined when bytes differ, are neither 00 nor FF, or there are none. */
  get fill(): number | undefined {
    return this.#fill ?? undefined;
  }
}
