/**
 * Room that a ZIP of stored members takes. Lengths from PKWARE's APPNOTE.TXT
 * 6.3.10: local header 4.3.7, central directory header 4.3.12, end record 4.3.16.
 */
const LOCAL_HEADER = 30;
const CENTRAL_HEADER = 46;
const END_RECORD = 22;

/** Members that a ZIP without the 64-bit extension can count (APPNOTE 4.4.21). */
export const MAX_ZIP_MEMBERS = 0xffff;

/** Bytes of the largest ZIP that is packed, as it is made in memory: own choice. */
export const PACK_LIMIT = 128 * 1024 * 1024;

/** Bytes of a ZIP with these members, stored, without extra fields or comments. */
export function zipSize(
  members: readonly { readonly path: string; readonly size: number }[],
): number {
  const encoder = new TextEncoder();
  let total = END_RECORD;
  for (const { path, size } of members) {
    total += LOCAL_HEADER + CENTRAL_HEADER + 2 * encoder.encode(path).length + size;
  }
  return total;
}
