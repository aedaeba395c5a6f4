import {
  applyRemedy,
  collect,
  ReadError,
  type ArchiveReader,
  type ByteStream,
  type ContentSource,
  type Origin,
  type Remedy,
  type Step,
} from '@firmtally/core';
import { fileAccess } from '../archive/random-access.js';

/** Where a file of an origin is read. */
export interface OriginFile {
  readonly files: ContentSource;
  readonly path: string;
  /** Bytes, when last looked at. */
  readonly size: number;
}

/**
 * The bytes a step places: those of a file, of a ZIP's member, or of either
 * with its remedy applied. Only a remedy holds a whole file in memory.
 *
 * @throws ReadError while iterating
 */
export async function* openStep(
  { from, remedy }: Pick<Step, 'from' | 'remedy'>,
  locate: (origin: Origin) => Promise<OriginFile>,
  archives: ArchiveReader,
): ByteStream {
  const file = await locate(from);
  const bytes =
    from.member === null ? file.files.open(file.path) : member(file, from.member, archives);
  if (remedy === null) yield* bytes;
  else yield await repaired(bytes, file.size, remedy, archives);
}

async function* member(file: OriginFile, path: string, archives: ArchiveReader): ByteStream {
  const archive = await archives.open(fileAccess(file.files, file.path, file.size));
  try {
    const found = archive.members.find((each) => each.kind === 'file' && each.path === path);
    if (found === undefined)
      throw new ReadError('vanished', `the ZIP has no member ${path} any more`);
    yield* archive.read(found);
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
