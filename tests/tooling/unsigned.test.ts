import { describe, expect, it } from 'vitest';
import { withoutSignature } from '../../packages/tooling/src/standalone/unsigned.js';

/** The least of a 64-bit PE file that has a signature at its end; offsets as in Microsoft's "PE Format". */
function signed({ signature = 24, after = 0, magic = 0x20b } = {}): Buffer {
  const body = 0x200;
  const file = Buffer.alloc(body + signature + after, 0xaa);
  file.fill(0, 0, body);
  file.writeUInt32LE(0x40, 0x3c);
  file.write('PE\0\0', 0x40, 'latin1');
  const optional = 0x58;
  file.writeUInt16LE(magic, optional);
  file.writeUInt32LE(0x1234, optional + 64); // checksum
  file.writeUInt32LE(signature === 0 ? 0 : body, optional + 144);
  file.writeUInt32LE(signature, optional + 148);
  return file;
}

describe('withoutSignature', () => {
  it('cuts the signature and what points at it', () => {
    const bare = withoutSignature(signed());
    expect(bare).toHaveLength(0x200);
    expect(bare.subarray(0x58 + 144, 0x58 + 152)).toEqual(Buffer.alloc(8));
    expect(bare.readUInt32LE(0x58 + 64)).toBe(0);
    expect(withoutSignature(bare)).toBe(bare);
  });

  it.each([
    ['no program', Buffer.from('invented'), 'not a program for Windows'],
    ['a program of DOS', signed().fill(0, 0x40, 0x44), 'not a program for Windows'],
    ['a 32-bit program', signed({ magic: 0x10b }), 'not a 64-bit program'],
    ['one with something after it', signed({ after: 1 }), 'not at the end'],
  ])('refuses %s', (_what, file, message) => {
    expect(() => withoutSignature(file)).toThrow(message);
  });
});
