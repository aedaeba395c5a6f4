import {
  ReadError,
  type ArchiveMember,
  type ArchiveReader,
  type ByteStream,
  type RandomAccess,
} from '@firmtally/core';
import {
  configure,
  ERR_BAD_FORMAT,
  ERR_EOCDR_NOT_FOUND,
  ERR_OVERLAPPING_ENTRY,
  Reader,
  ZipReader,
  type Entry,
} from '@zip.js/zip.js';

configure({ useWebWorkers: false });

/** Members of one archive; more than a ZIP without its 64-bit extension can hold is refused. */
const MAX_MEMBERS = 65_535;

/** ZIP archives in a browser, through zip.js. */
export const zipArchives: ArchiveReader = {
  async open(bytes) {
    const zip = new ZipReader(new RandomAccessReader(bytes));
    try {
      const entries = new Map<ArchiveMember, Entry>();
      for await (const entry of zip.getEntriesGenerator()) {
        if (entries.size >= MAX_MEMBERS) {
          throw new ReadError(
            'limit-exceeded',
            `a ZIP of more than ${String(MAX_MEMBERS)} members is not read`,
          );
        }
        entries.set(memberOf(entry), entry);
      }
      return {
        members: [...entries.keys()],
        read: (member) => contentOf(entries.get(member), member),
        close: () => zip.close(),
      };
    } catch (error) {
      await zip.close();
      throw badArchive(error);
    }
  },
};

function memberOf(entry: Entry): ArchiveMember {
  return {
    path: entry.filename,
    kind: entry.directory ? 'folder' : 'file',
    size: entry.uncompressedSize,
    crc32: ((entry.crc32 ?? 0) >>> 0).toString(16).padStart(8, '0'),
    encrypted: entry.encrypted,
  };
}

async function* contentOf(entry: Entry | undefined, member: ArchiveMember): ByteStream {
  if (entry === undefined) throw new Error('the member is not one of this archive');
  if (member.encrypted) throw new ReadError('bad-archive', 'the ZIP member is encrypted');
  if (entry.directory) return;
  const pipe = new TransformStream<Uint8Array, Uint8Array>();
  const done = entry.getData(pipe.writable, {
    checkSignature: true,
    // Members that share bytes inflate the same bytes over and over.
    checkOverlappingEntry: true,
  });
  done.catch(() => undefined); // seen below, once the reading ends
  const reader = pipe.readable.getReader();
  try {
    let size = 0;
    for (;;) {
      const { done: ended, value } = await reader.read();
      if (ended) break;
      size += value.length;
      if (size > member.size) break;
      yield value;
    }
    if (size !== member.size) {
      throw new ReadError('bad-archive', 'the ZIP member has another size than it declares');
    }
    await done;
  } catch (error) {
    throw badArchive(error);
  } finally {
    await reader.cancel().catch(() => undefined); // there is nothing left to cancel then
  }
}

function badArchive(error: unknown): ReadError {
  if (error instanceof ReadError) return error;
  const reason = error instanceof Error ? REASONS.get(error.message) : undefined;
  const message = `not a ZIP that can be read${reason === undefined ? '' : `: ${reason}`}`;
  return new ReadError('bad-archive', message, { cause: error });
}

/** In the words of the host, by zip.js's own constants. */
const REASONS: ReadonlyMap<string, string> = new Map([
  // What is shorter than that record.
  [ERR_BAD_FORMAT, 'it has no end of central directory record'],
  [ERR_EOCDR_NOT_FOUND, 'it has no end of central directory record'],
  [ERR_OVERLAPPING_ENTRY, 'members overlap'],
]);

class RandomAccessReader extends Reader<RandomAccess> {
  readonly #bytes: RandomAccess;

  constructor(bytes: RandomAccess) {
    super(bytes);
    this.#bytes = bytes;
    this.size = bytes.size;
  }

  override async readUint8Array(index: number, length: number): Promise<Uint8Array> {
    const end = Math.min(index + length, this.#bytes.size);
    const result = new Uint8Array(Math.max(0, end - index));
    let at = 0;
    for await (const chunk of this.#bytes.read({ start: index, end })) {
      result.set(chunk, at);
      at += chunk.length;
    }
    return result.subarray(0, at);
  }
}
