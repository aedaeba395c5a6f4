import type { RandomAccess } from '@firmtally/core';

/** Signature of the end of central directory record (APPNOTE 4.3.16). */
const SIGNATURE = Buffer.from('PK\u0005\u0006', 'latin1');

/** Bytes of that record at most: its fixed part, and a comment of 65535. */
const MAX_LENGTH = 22 + 0xffff;

/**
 * Whether the bytes can end like a ZIP. Most files that are asked about do
 * not, and a native search says so in no time, without loading yauzl. Throws
 * what reading the bytes throws.
 */
export async function mayBeZip(bytes: RandomAccess): Promise<boolean> {
  const start = Math.max(0, bytes.size - MAX_LENGTH);
  const parts: Buffer[] = [];
  for await (const chunk of bytes.read({ start, end: bytes.size })) {
    parts.push(Buffer.from(chunk)); // a copy: a chunk is only valid until the next one
  }
  const tail = Buffer.concat(parts);
  // What came out shorter than promised is for the real reader to complain of.
  return tail.length < bytes.size - start || tail.includes(SIGNATURE);
}
