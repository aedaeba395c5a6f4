import { crc32, deflateRawSync } from 'node:zlib';

/**
 * A ZIP archive, as PKWARE's APPNOTE.TXT lays it out: local file headers (4.3.7) with their data,
 * the central directory (4.3.12), its end record (4.3.16). No ZIP64, no encryption, fixed dates.
 *
 * @param {readonly { path: string, bytes: Buffer, compress?: boolean }[]} members
 * @returns {Buffer}
 */
export function zip(members) {
  const locals = [];
  const directory = [];
  let offset = 0;
  for (const { path, bytes, compress = false } of members) {
    const name = Buffer.from(path);
    const data = compress ? deflateRawSync(bytes) : bytes;
    const common = Buffer.alloc(26);
    common.writeUInt16LE(20, 0); // version needed: 2.0
    common.writeUInt16LE(0x0800, 2); // names are UTF-8
    common.writeUInt16LE(compress ? 8 : 0, 4);
    common.writeUInt16LE(0, 6); // 00:00:00
    common.writeUInt16LE(0x21, 8); // 1980-01-01
    common.writeUInt32LE(crc32(bytes), 10);
    common.writeUInt32LE(data.length, 14);
    common.writeUInt32LE(bytes.length, 18);
    common.writeUInt16LE(name.length, 22);
    locals.push(Buffer.from('PK\x03\x04'), common, name, data);
    const tail = Buffer.alloc(14);
    tail.writeUInt32LE(offset, 10);
    directory.push(Buffer.from('PK\x01\x02\x14\x00'), common, tail, name);
    offset += 4 + common.length + name.length + data.length;
  }
  const central = Buffer.concat(directory);
  const end = Buffer.alloc(22);
  end.write('PK\x05\x06');
  end.writeUInt16LE(members.length, 8);
  end.writeUInt16LE(members.length, 10);
  end.writeUInt32LE(central.length, 12);
  end.writeUInt32LE(offset, 16);
  return Buffer.concat([...locals, central, end]);
}

/**
 * A gzip file (RFC 1952) of stored blocks (RFC 1951, 3.2.4). Made by hand because zlib writes the
 * name of the operating system into the header, and the demo's bytes are the same everywhere.
 *
 * @param {Buffer} bytes
 * @returns {Buffer}
 */
export function gzip(bytes) {
  /** @type {Buffer[]} */
  const parts = [Buffer.from([0x1f, 0x8b, 8, 0, 0, 0, 0, 0, 0, 255])];
  for (let start = 0; start < bytes.length; start += 0xffff) {
    const block = bytes.subarray(start, start + 0xffff);
    const head = Buffer.alloc(5);
    head[0] = start + 0xffff >= bytes.length ? 1 : 0; // the last block says so
    head.writeUInt16LE(block.length, 1);
    head.writeUInt16LE(block.length ^ 0xffff, 3);
    parts.push(head, block);
  }
  const tail = Buffer.alloc(8);
  tail.writeUInt32LE(crc32(bytes), 0);
  tail.writeUInt32LE(bytes.length, 4);
  return Buffer.concat([...parts, tail]);
}
