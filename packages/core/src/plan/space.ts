/** Bytes of one FAT directory entry (Microsoft FAT32 File System Specification, "FAT Directory Structure"). */
const DIRECTORY_ENTRY = 32;

/** UTF-16 units of a name one long-name entry holds (same source, "Long Directory Entries": 5 + 6 + 2). */
const UNITS_PER_LONG_ENTRY = 13;

/** Whole clusters a file of `size` bytes takes; an empty file takes none (FAT spec: DIR_FstClus is 0 then). */
export function clustersOfFile(size: number, clusterSize: number): number {
  return Math.ceil(size / clusterSize);
}

/** Whole clusters a new folder takes: '.' and '..', and for each name one short and the long entries it needs; never less than one. */
export function clustersOfFolder(names: Iterable<string>, clusterSize: number): number {
  let entries = 2;
  for (const name of names) entries += 1 + Math.ceil(name.length / UNITS_PER_LONG_ENTRY);
  return Math.max(1, Math.ceil((entries * DIRECTORY_ENTRY) / clusterSize));
}

/**
 * Reads a cluster size: bytes, or with K or M (1024-based), e.g. `16K`.
 * Null when it is not a power of two from 512 bytes to 32 MiB: a FAT cluster is
 * a power-of-two number of sectors of 512 bytes or more (FAT spec: BPB_SecPerClus);
 * exFAT ends at 32 MiB (Microsoft "exFAT file system specification", 3.1.15).
 */
export function parseClusterSize(text: string): number | null {
  const [, digits, unit] = /^([0-9]{1,9})([km]?)(?:ib|b)?$/i.exec(text.trim()) ?? [];
  if (digits === undefined) return null;
  const scale = unit?.toLowerCase() === 'm' ? 1024 * 1024 : unit?.toLowerCase() === 'k' ? 1024 : 1;
  const size = Number(digits) * scale;
  const isPowerOfTwo = Number.isInteger(Math.log2(size));
  return isPowerOfTwo && size >= 512 && size <= 32 * 1024 * 1024 ? size : null;
}
