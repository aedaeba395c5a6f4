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
  // Native searches: most bytes are no line ending, and a loop over all is slow while it is cold.
  for (let at = bytes.indexOf(LF); at >= 0; at = bytes.indexOf(LF, at + 1)) {
    lf++;
    if (bytes[at - 1] === CR) crlf++;
  }
  let cr = 0;
  for (let at = bytes.indexOf(CR); at >= 0; at = bytes.indexOf(CR, at + 1)) cr++;
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
  const searched = from === 'crlf' ? CR : LF;
  let copied = 0;
  let length = 0;
  for (let at = bytes.indexOf(searched); at >= 0; at = bytes.indexOf(searched, at + 1)) {
    if (from === 'crlf' && bytes[at + 1] !== LF) continue;
    converted.set(bytes.subarray(copied, at), length);
    length += at - copied;
    copied = at;
    if (from === 'lf') converted[length++] = CR;
    else copied++;
  }
  converted.set(bytes.subarray(copied), length);
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
