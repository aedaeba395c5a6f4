// Reproducible bytes, and the accidents that happen to bytes. Everything here is INVENTED data:
// no byte comes from, or imitates, the firmware of a real device.

/**
 * Bytes that look like a firmware image: the same name gives the same bytes on every machine.
 *
 * xorshift32 with the shifts 13, 17, 5 from G. Marsaglia, "Xorshift RNGs", Journal of Statistical
 * Software 8 (14), 2003; one byte a step, the lowest. Seeded by the name's FNV-1a hash (RFC 9923).
 *
 * @param {string} name seed
 * @param {number} size bytes
 * @returns {Buffer}
 */
export function inventedBytes(name, size) {
  let state = fnv1a(name) || 1; // xorshift never leaves the state 0
  const bytes = Buffer.alloc(size);
  for (let index = 0; index < size; index++) {
    state ^= state << 13;
    state ^= state >>> 17;
    state ^= state << 5;
    bytes[index] = state & 0xff;
  }
  return bytes;
}

/**
 * FNV-1a, 32 bits.
 * @param {string} text
 */
function fnv1a(text) {
  let hash = 0x811c9dc5;
  for (const byte of Buffer.from(text)) hash = Math.imul(hash ^ byte, 0x01000193) >>> 0;
  return hash;
}

/**
 * A key table in plain text with LF line ends, as some home computers have one.
 * @param {string} name seed
 * @param {number} lines
 */
export function inventedText(name, lines) {
  const codes = inventedBytes(name, lines);
  return Buffer.from(
    Array.from(codes, (code, row) => `key ${row} sends ${code.toString(16)}\n`).join(''),
  );
}

/** What a copier, a card reader or a well-meaning program does to a dump. */
export const damage = {
  /** The copy was interrupted. @param {Buffer} dump */
  cut: (dump) => dump.subarray(0, Math.floor(dump.length * 0.6)),

  /** Filled up to a bigger chip's size with FF, the value of erased flash. @param {Buffer} dump @param {number} size */
  pad: (dump, size) => Buffer.concat([dump, Buffer.alloc(size - dump.length, 0xff)]),

  /** A copier wrote its own header in front. @param {Buffer} dump @param {number} size bytes */
  addHeader: (dump, size) => Buffer.concat([inventedBytes('copier header', size), dump]),

  /** Read in the other byte order. @param {Buffer} dump @param {2 | 4} unit bytes */
  swap: (dump, unit) => (unit === 2 ? Buffer.from(dump).swap16() : Buffer.from(dump).swap32()),

  /** A chip half as big as the reader thought shows up twice. @param {Buffer} dump */
  double: (dump) => Buffer.concat([dump, dump]),

  /** The two halves' bytes taken in turn. @param {Buffer} dump */
  interleave: (dump) => {
    const half = dump.length / 2;
    return Buffer.from(dump.map((_, at) => dump[(at >> 1) + (at % 2 === 0 ? 0 : half)] ?? 0));
  },

  /** Sent as text: every LF became CR LF. @param {Buffer} dump */
  mangleText: (dump) => Buffer.from(dump.toString('latin1').replaceAll('\n', '\r\n'), 'latin1'),

  /** One bit gone, as on a tired card. @param {Buffer} dump @param {number} at byte offset */
  flipBit: (dump, at) => {
    const bytes = Buffer.from(dump);
    bytes[at] = (bytes[at] ?? 0) ^ 0x10;
    return bytes;
  },
};

/** What a browser saves when the download needed a login. */
export const WEB_PAGE = Buffer.from(
  '<!DOCTYPE html>\n<html><head><title>Please sign in</title></head>\n' +
    '<body><h1>Please sign in</h1><p>Your download will start afterwards.</p></body></html>\n',
);
