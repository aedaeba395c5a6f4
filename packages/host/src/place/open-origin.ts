import {
  ReadError,
  type ArchiveReader,
  type ByteStream,
  type Origin,
  type Remedy,
} from '@firmtally/core';
import { applyRemedy, collect, openInside, type OriginFile } from '@firmtally/core/internal';
import { fileAccess } from '../archive/random-access.js';

/** Bytes held in memory at most, of a ZIP inside a ZIP or of what is repaired: own choice. */
const HELD_BYTES = 256 * 1024 * 1024;

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
  const { files, path, size } = await locate(from);
  const bytes =
    from.inside.length === 0
      ? files.open(path)
      : openInside(fileAccess(files, path, size), from.inside, archives, HELD_BYTES);
  if (remedy === null) yield* bytes;
  else yield await repaired(bytes, HELD_BYTES, remedy, archives);
}

async function repaired(
  bytes: ByteStream,
  limit: number,
  remedy: Remedy,
  archives: ArchiveReader,
): Promise<Uint8Array> {
  const whole = await collect(bytes, limit);
  if (whole === null) throw new ReadError('changed-while-read', 'it has grown');
  return applyRemedy(whole, remedy, archives);
}
