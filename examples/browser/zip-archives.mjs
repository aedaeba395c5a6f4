import { ReadError } from '@firmtally/core';
import { configure, Reader, ZipReader } from '@zip.js/zip.js';

configure({ useWebWorkers: false });

/** Members of one archive; more than a ZIP without its 64-bit extension can hold is refused. */
const MAX_MEMBERS = 65_535;

/**
 * ZIP archives in a browser, through zip.js.
 * @type {import('@firmtally/core').ArchiveReader}
 */
export const zipArchives = {
  async open(bytes) {
    const zip = new ZipReader(new RandomAccessReader(bytes));
    try {
      /** @type {Map<import('@firmtally/core').ArchiveMember, import('@zip.js/zip.js').Entry>} */
      const entries = new Map();
      for await (const entry of zip.getEntriesGenerator()) {
        if (entries.size >= MAX_MEMBERS) {
          throw new ReadError(
            'limit-exceeded',
            `a ZIP of more than ${MAX_MEMBERS} members is not read`,
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

/**
 * @param {import('@zip.js/zip.js').Entry} entry
 * @returns {import('@firmtally/core').ArchiveMember}
 */
function memberOf(entry) {
  return {
    path: entry.filename,
    kind: entry.directory ? 'folder' : 'file',
    size: entry.uncompressedSize,
    crc32: ((entry.crc32 ?? 0) >>> 0).toString(16).padStart(8, '0'),
    encrypted: entry.encrypted,
  };
}

/**
 * @param {import('@zip.js/zip.js').Entry | undefined} entry
 * @param {import('@firmtally/core').ArchiveMember} member
 * @returns {AsyncGenerator<Uint8Array>}
 */
async function* contentOf(entry, member) {
  if (entry === undefined) throw new Error('the member is not one of this archive');
  if (member.encrypted) throw new ReadError('bad-archive', 'the ZIP member is encrypted');
  if (entry.directory) return;
  /** @type {TransformStream<Uint8Array, Uint8Array>} */
  const pipe = new TransformStream();
  const done = entry.getData(pipe.writable, { checkSignature: true });
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

/** @param {unknown} error */
function badArchive(error) {
  if (error instanceof ReadError) return error;
  return new ReadError('bad-archive', 'not a ZIP that can be read', { cause: error });
}

/** @extends {Reader<import('@firmtally/core').RandomAccess>} */
class RandomAccessReader extends Reader {
  /** @type {import('@firmtally/core').RandomAccess} */
  #bytes;

  /** @param {import('@firmtally/core').RandomAccess} bytes */
  constructor(bytes) {
    super(bytes);
    this.#bytes = bytes;
    this.size = bytes.size;
  }

  /**
   * @param {number} index
   * @param {number} length
   * @override
   */
  async readUint8Array(index, length) {
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
