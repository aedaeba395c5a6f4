/**
 * The ZIP writer of all tests; it can lie. Layout from PKWARE's APPNOTE.TXT 6.3.10, sections
 * 4.3.7 (local header), 4.3.12 (central directory), 4.3.14 and 4.3.15 (ZIP64)
 * and 4.3.16 (end of central directory).
 */
import { crc32, deflateRawSync } from 'node:zlib';

export interface ZipMember {
  /** Name bytes; text is written as UTF-8. */
  readonly name: string | Buffer;
  readonly bytes: Uint8Array;
  /** Default: stored. */
  readonly deflate?: boolean;
  /** What the headers say, where that is not the truth. */
  readonly says?: {
    readonly crc32?: number;
    readonly size?: number;
    readonly compressedSize?: number;
    readonly localOffset?: number;
    readonly method?: number;
    readonly flags?: number;
  };
  /** Writes sizes and offset as ZIP64 extra field (APPNOTE 4.5.3) though they would fit. */
  readonly zip64?: boolean;
  /** Leaves crc and sizes zero in the local header and writes a data descriptor (4.3.9). */
  readonly descriptor?: boolean;
}

export interface ZipLies {
  /** Entries the end record claims; the truth when absent. */
  readonly entries?: number;
  readonly directorySize?: number;
  readonly directoryOffset?: number;
  readonly comment?: Buffer;
  /** Bytes before the first local header, as a self-extractor has. */
  readonly before?: Buffer;
  /** Writes the ZIP64 end record and locator too. */
  readonly zip64?: boolean;
}

const UTF8_FLAG = 0x0800;
const DESCRIPTOR_FLAG = 0x0008;

/** A truthful ZIP of these files, in this order. */
export function makeZip(
  files: readonly {
    readonly path: string;
    readonly bytes: Uint8Array;
    readonly deflate?: boolean;
  }[],
): Buffer {
  return writeZip(files.map(({ path, ...file }) => ({ name: path, ...file })));
}

export function writeZip(members: readonly ZipMember[], lies: ZipLies = {}): Buffer {
  const parts: Buffer[] = [];
  let offset = 0;
  const put = (part: Buffer): void => {
    parts.push(part);
    offset += part.length;
  };
  if (lies.before !== undefined) put(lies.before);
  const directory: Buffer[] = [];
  for (const member of members) {
    const at = offset;
    const data = member.deflate === true ? deflateRawSync(member.bytes) : Buffer.from(member.bytes);
    put(localHeader(member, data.length));
    put(data);
    if (member.descriptor === true) {
      put(
        words(
          ['32', 0x08074b50],
          ['32', crcOf(member)],
          ['32', data.length],
          ['32', member.bytes.length],
        ),
      );
    }
    directory.push(centralHeader(member, data.length, at));
  }
  const start = offset;
  for (const header of directory) put(header);
  const size = offset - start;
  if (lies.zip64 === true) {
    const at = offset;
    put(
      words(
        ['32', 0x06064b50],
        ['64', 44],
        ['16', 45],
        ['16', 45],
        ['32', 0],
        ['32', 0],
        ['64', lies.entries ?? members.length],
        ['64', lies.entries ?? members.length],
        ['64', lies.directorySize ?? size],
        ['64', lies.directoryOffset ?? start],
      ),
    );
    put(words(['32', 0x07064b50], ['32', 0], ['64', at], ['32', 1]));
  }
  const comment = lies.comment ?? Buffer.alloc(0);
  const entries = lies.zip64 === true ? 0xffff : (lies.entries ?? members.length);
  put(
    words(
      ['32', 0x06054b50],
      ['16', 0],
      ['16', 0],
      ['16', entries],
      ['16', entries],
      ['32', lies.zip64 === true ? 0xffffffff : (lies.directorySize ?? size)],
      ['32', lies.zip64 === true ? 0xffffffff : (lies.directoryOffset ?? start)],
      ['16', comment.length],
    ),
  );
  put(comment);
  return Buffer.concat(parts);
}

function localHeader(member: ZipMember, compressed: number): Buffer {
  const late = member.descriptor === true;
  const name = nameOf(member);
  return Buffer.concat([
    words(
      ['32', 0x04034b50],
      ['16', 20],
      ['16', flagsOf(member)],
      ['16', methodOf(member)],
      ['16', 0],
      ['16', 0x21],
      ['32', late ? 0 : crcOf(member)],
      ['32', late ? 0 : (member.says?.compressedSize ?? compressed)],
      ['32', late ? 0 : sizeOf(member)],
      ['16', name.length],
      ['16', 0],
    ),
    name,
  ]);
}

function centralHeader(member: ZipMember, compressed: number, offset: number): Buffer {
  const name = nameOf(member);
  const size = sizeOf(member);
  const packed = member.says?.compressedSize ?? compressed;
  const at = member.says?.localOffset ?? offset;
  const big = member.zip64 === true;
  const extra = big
    ? words(['16', 1], ['16', 24], ['64', size], ['64', packed], ['64', at])
    : Buffer.alloc(0);
  return Buffer.concat([
    words(
      ['32', 0x02014b50],
      ['16', 0x0314],
      ['16', 45],
      ['16', flagsOf(member)],
      ['16', methodOf(member)],
      ['16', 0],
      ['16', 0x21],
      ['32', crcOf(member)],
      ['32', big ? 0xffffffff : packed],
      ['32', big ? 0xffffffff : size],
      ['16', name.length],
      ['16', extra.length],
      ['16', 0],
      ['16', 0],
      ['16', 0],
      ['32', 0],
      ['32', big ? 0xffffffff : at],
    ),
    name,
    extra,
  ]);
}

function nameOf(member: ZipMember): Buffer {
  return typeof member.name === 'string' ? Buffer.from(member.name) : member.name;
}

function flagsOf(member: ZipMember): number {
  const flags = typeof member.name === 'string' ? UTF8_FLAG : 0;
  return (member.says?.flags ?? 0) | flags | (member.descriptor === true ? DESCRIPTOR_FLAG : 0);
}

function methodOf(member: ZipMember): number {
  return member.says?.method ?? (member.deflate === true ? 8 : 0);
}

function crcOf(member: ZipMember): number {
  return member.says?.crc32 ?? crc32(member.bytes);
}

function sizeOf(member: ZipMember): number {
  return member.says?.size ?? member.bytes.length;
}

/** Little-endian fields one after another. */
function words(...fields: (readonly ['16' | '32' | '64', number])[]): Buffer {
  const buffer = Buffer.alloc(fields.reduce((sum, [bits]) => sum + Number(bits) / 8, 0));
  let at = 0;
  for (const [bits, value] of fields) {
    if (bits === '16') at = buffer.writeUInt16LE(value % 0x10000, at);
    else if (bits === '32') at = buffer.writeUInt32LE(value % 0x100000000, at);
    else at = buffer.writeBigUInt64LE(BigInt(value), at);
  }
  return buffer;
}
