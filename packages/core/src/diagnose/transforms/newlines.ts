const LF = 0x0a;
const CR = 0x0d;

/** How often each line ending occurs: `crlf` counts pairs, `lf` and `cr` every such byte, paired or not. */
export interface NewlineCounts {
  readonly crlf: number;
  readonly lf: number;
  readonly cr: number;
}

export function countNewlines(bytes: Uint8Array): NewlineCounts {
  let crlf = 0;
  let lf = 0;
  let cr = 0;
  let previous = -1;
  for (let index = 0; index < bytes.length; index++) {
    const byte = bytes[index] ?? 0;
    if (byte === LF) {
      lf++;
      if (previous === CR) crlf++;
    } else if (byte === CR) cr++;
    previous = byte;
  }
  return { crlf, lf, cr };
}

/** Bytes that {@link convertNewlines} gives for `size` bytes with these counts. */
export function convertedSize(
  size: number,
  counts: NewlineCounts,
  from: 'crlf' | 'lf' | 'cr',
): number {
  if (from === 'crlf') return size - counts.crlf;
  return from === 'lf' ? size + counts.lf : size;
}

/** `crlf`: CR LF becomes LF. `lf`: every LF becomes CR LF. `cr`: every CR becomes LF. */
export function convertNewlines(bytes: Uint8Array, from: 'crlf' | 'lf' | 'cr'): Uint8Array {
  if (from === 'cr') return replaced(bytes);
  const converted = new Uint8Array(convertedSize(bytes.length, countNewlines(bytes), from));
  let length = 0;
  for (let index = 0; index < bytes.length; index++) {
    const byte = bytes[index] ?? 0;
    if (from === 'crlf' && byte === CR && bytes[index + 1] === LF) continue;
    if (from === 'lf' && byte === LF) converted[length++] = CR;
    converted[length++] = byte;
  }
  return converted;
}

function replaced(bytes: Uint8Array): Uint8Array {
  const converted = new Uint8Array(bytes);
  let at = converted.indexOf(CR);
  while (at >= 0) {
    converted[at] = LF;
    at = converted.indexOf(CR, at + 1);
  }
  return converted;
}
