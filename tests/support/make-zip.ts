import { crc32, deflateRawSync } from 'node:zlib';

export interface ZipFile {
  readonly path: string;
  readonly bytes: Uint8Array;
  /** Default: stored. */
  readonly deflate?: boolean;
}

/** A ZIP as PKWARE's APPNOTE.TXT 6.3.10 lays it out (4.3.7, 4.3.12, 4.3.16), without any option. */
export function makeZip(files: readonly ZipFile[]): Buffer {
  const locals: Buffer[] = [];
  const central: Buffer[] = [];
  let offset = 0;
  for (const { path, bytes, deflate } of files) {
    const name = Buffer.from(path, 'utf8');
    const content = deflate === true ? deflateRawSync(bytes) : Buffer.from(bytes);
    const common = Buffer.alloc(26);
    common.writeUInt16LE(20, 0); // version needed
    common.writeUInt16LE(0x0800, 2); // names are UTF-8
    common.writeUInt16LE(deflate === true ? 8 : 0, 4);
    common.writeUInt16LE(0x21, 8); // 1980-01-01
    common.writeUInt32LE(crc32(bytes), 10);
    common.writeUInt32LE(content.length, 14);
    common.writeUInt32LE(bytes.length, 18);
    common.writeUInt16LE(name.length, 22);
    locals.push(Buffer.from('PK\u0003\u0004', 'latin1'), common, name, content);
    const tail = Buffer.alloc(14);
    tail.writeUInt32LE(offset, 10);
    const madeBy = Buffer.from([20, 0]);
    central.push(Buffer.from('PK\u0001\u0002', 'latin1'), madeBy, common, tail, name);
    offset += 30 + name.length + content.length;
  }
  const directory = Buffer.concat(central);
  const end = Buffer.alloc(18);
  end.writeUInt16LE(files.length, 4);
  end.writeUInt16LE(files.length, 6);
  end.writeUInt32LE(directory.length, 8);
  end.writeUInt32LE(offset, 12);
  return Buffer.concat([...locals, directory, Buffer.from('PK\u0005\u0006', 'latin1'), end]);
}
