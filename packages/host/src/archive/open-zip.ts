import type { Readable } from 'node:stream';
import {
  decodeName,
  ReadError,
  type Archive,
  type ArchiveMember,
  type ByteStream,
  type RandomAccess,
} from '@firmtally/core';
import { ArchiveBudget, hasUndecodableBytes } from '@firmtally/core/internal';
import yauzl, { type Entry, type ZipFile } from 'yauzl';
import { nativeEngine } from '../digest/native-engine.js';
import { refuseOverlap } from './overlap.js';
import { WindowReader } from './window-reader.js';

/** Members of one archive. What ZIP without its 64-bit extension can hold (APPNOTE 4.4.21). */
const MAX_MEMBERS = 65_536;

/** Bytes of one archive's central directory; names, extra fields and comments included. */
const MAX_DIRECTORY = 32 << 20;

/**
 * Bytes that all members of one archive may come to, however often they are
 * read: a gigabyte, and 32 for each byte of the archive. Deflate can give a
 * thousand for one; a card's image packed ten to one stays far below.
 */
const MIN_INFLATED = 1 << 30;
const MAX_RATIO = 32;

/** Fixed part of a central directory entry in bytes (APPNOTE 4.3.12). */
const ENTRY_HEADER = 46;

/**
 * See ArchiveReader.open in the core.
 *
 * @param minInflated see {@link MIN_INFLATED}
 */
export async function openZip(bytes: RandomAccess, minInflated = MIN_INFLATED): Promise<Archive> {
  const reader = new WindowReader(bytes);
  try {
    const zip = await yauzl.fromRandomAccessReaderPromise(reader, bytes.size, {
      autoClose: false,
      lazyEntries: true,
      // Names stay bytes here: with strings one hostile name would hide the whole archive.
      decodeStrings: false,
    });
    return await openArchive(zip, reader, minInflated + MAX_RATIO * bytes.size);
  } catch (error) {
    throw archiveError(error, reader);
  }
}

async function openArchive(
  zip: ZipFile,
  reader: WindowReader,
  mostInflated: number,
): Promise<Archive> {
  const entries = new Map<ArchiveMember, Entry>();
  if (zip.entryCount > MAX_MEMBERS) {
    throw new ReadError('limit-exceeded', `a ZIP of more than ${MAX_MEMBERS} members is not read`);
  }
  let directory = 0;
  for await (const entry of zip.eachEntry()) {
    directory += ENTRY_HEADER + entry.fileNameLength + entry.extraFieldLength;
    directory += entry.fileCommentLength;
    if (directory > MAX_DIRECTORY) {
      throw new ReadError(
        'limit-exceeded',
        `a ZIP whose list of members takes more than ${MAX_DIRECTORY >> 20} MiB is not read`,
      );
    }
    entries.set(memberOf(entry), entry);
  }
  refuseOverlap(entries.values());
  const inflated = new ArchiveBudget({
    bytes: mostInflated,
    members: MAX_MEMBERS,
  });
  return {
    members: [...entries.keys()],
    read: (member) => {
      const entry = entries.get(member);
      if (entry === undefined) throw new Error('the member is not one of this archive');
      return readMember(zip, entry, member, { reader, inflated });
    },
    close: () => {
      zip.close();
      return Promise.resolve();
    },
  };
}

function memberOf(entry: Entry): ArchiveMember {
  const path = yauzl.getFileNameLowLevel(
    entry.generalPurposeBitFlag | (isUnmarkedUtf8(entry) ? UTF8_NAME : 0),
    entry.fileNameRaw,
    entry.extraFields,
    false,
  );
  return {
    path,
    kind: path.endsWith('/') ? 'folder' : 'file',
    size: entry.uncompressedSize,
    crc32: hex32(entry.crc32),
    encrypted: entry.isEncrypted(),
  };
}

/** General purpose bit 11: the name is UTF-8 (APPNOTE 4.4.4); else it is code page 437. */
const UTF8_NAME = 0x800;

/** Upper byte of "version made by" for Unix and OS X (APPNOTE 4.4.2.2). */
const UNIX_MAKERS: readonly number[] = [3, 19];

/** Info-ZIP on Unix writes names as they are on disk, UTF-8, without the flag (seen with zip 3.0). */
function isUnmarkedUtf8(entry: Entry): boolean {
  return (
    UNIX_MAKERS.includes(entry.versionMadeBy >> 8) &&
    !hasUndecodableBytes(decodeName(entry.fileNameRaw))
  );
}

interface Reading {
  readonly reader: WindowReader;
  readonly inflated: ArchiveBudget;
}

/** Inflates one member: never more bytes than declared, and the CRC-32 must be the declared one. */
async function* readMember(
  zip: ZipFile,
  entry: Entry,
  member: ArchiveMember,
  { reader, inflated }: Reading,
): ByteStream {
  if (member.encrypted) throw new ReadError('bad-archive', 'the ZIP member is encrypted');
  if (!entry.canDecodeFileData()) {
    throw new ReadError(
      'bad-archive',
      `the ZIP member uses compression method ${entry.compressionMethod}; only stored and deflated are read`,
    );
  }
  const hasher = await nativeEngine.create(['crc32']);
  let crc32: string | undefined;
  let stream: Readable | null = null;
  try {
    stream = await zip.openReadStreamPromise(entry);
    let size = 0;
    for await (const chunk of stream as AsyncIterable<Buffer>) {
      size += chunk.length;
      if (size > member.size) break;
      inflated.takeBytes(chunk.length);
      hasher.update(chunk);
      yield chunk;
    }
    if (size !== member.size) {
      throw new ReadError('bad-archive', 'the ZIP member has another size than it declares');
    }
    crc32 = hasher.digest().crc32;
    if (crc32 !== member.crc32) {
      throw new ReadError('bad-archive', 'the ZIP member is damaged: its CRC-32 is wrong');
    }
  } catch (error) {
    throw archiveError(error, reader);
  } finally {
    stream?.destroy();
    if (crc32 === undefined) hasher.digest();
  }
}

/** What yauzl or zlib object to is the archive's fault; what the bytes' source threw stays what it was. */
function archiveError(error: unknown, reader: WindowReader): unknown {
  if (reader.failure !== null) return reader.failure;
  if (error instanceof ReadError) return error;
  const text = error instanceof Error ? error.message : String(error);
  return new ReadError('bad-archive', `not a ZIP that can be read: ${firstSentence(text)}`, {
    cause: error,
  });
}

function firstSentence(text: string): string {
  const sentence = (/^[^.]*(?:\.(?=\S)[^.]*)*/u.exec(text)?.[0] ?? text).slice(0, 200);
  return sentence.charAt(0).toLowerCase() + sentence.slice(1);
}

function hex32(value: number): string {
  return value.toString(16).padStart(8, '0');
}
