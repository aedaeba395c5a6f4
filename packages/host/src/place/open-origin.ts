import {
  applyRemedy,
  collect,
  memoryAccess,
  ReadError,
  type ArchiveReader,
  type ByteStream,
  type ContentSource,
  type MemberAddress,
  type Origin,
  type RandomAccess,
  type Remedy,
} from '@firmtally/core';
import { fileAccess } from '../archive/random-access.js';

/** Where a file of an origin is read. */
export interface OriginFile {
  readonly files: ContentSource;
  readonly path: string;
  /** Bytes, when last looked at. */
  readonly size: number;
}

/** The bytes at an origin, with a remedy applied if there is one. Throws ReadError while iterating. */
export type OpenOrigin = (from: Origin, remedy: Remedy | null) => ByteStream;

/**
 * The bytes a step places: those of a file, of a ZIP's member, or of either
 * with its remedy applied. Only a remedy holds a whole file in memory.
 *
 * @throws ReadError while iterating
 */
export async function* openOrigin(
  from: Origin,
  remedy: Remedy | null,
  locate: (origin: Origin) => Promise<OriginFile>,
  archives: ArchiveReader,
): ByteStream {
  const file = await locate(from);
  const [outer, ...deeper] = from.inside;
  if (outer !== undefined) {
    const content = fileAccess(file.files, file.path, file.size);
    yield* inArchive(content, [outer, ...deeper], remedy, archives);
  } else if (remedy === null) {
    yield* file.files.open(file.path);
  } else {
    yield await repaired(file.files.open(file.path), file.size, remedy, archives);
  }
}

async function* inArchive(
  content: RandomAccess,
  [address, ...deeper]: readonly [MemberAddress, ...MemberAddress[]],
  remedy: Remedy | null,
  archives: ArchiveReader,
): ByteStream {
  const archive = await archives.open(content);
  try {
    const member = archive.members[address.index];
    if (member?.kind !== 'file' || member.path !== address.path)
      throw new ReadError('vanished', `the ZIP has no member ${address.path} any more`);
    const [next, ...rest] = deeper;
    if (next !== undefined) {
      const whole = await collect(archive.read(member), member.size);
      if (whole === null) throw new ReadError('changed-while-read', 'it has grown');
      yield* inArchive(memoryAccess(whole), [next, ...rest], remedy, archives);
    } else if (remedy === null) {
      yield* archive.read(member);
    } else {
      yield await repaired(archive.read(member), member.size, remedy, archives);
    }
  } finally {
    await archive.close();
  }
}

async function repaired(
  bytes: ByteStream,
  size: number,
  remedy: Remedy,
  archives: ArchiveReader,
): Promise<Uint8Array> {
  const whole = await collect(bytes, size);
  if (whole === null) throw new ReadError('changed-while-read', 'it has grown');
  return applyRemedy(whole, remedy, archives);
}
