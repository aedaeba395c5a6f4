/**
 * Takes the signature off a program for Windows: it is Node's, of a file that
 * is about to change, and a signature that does not fit is worse than none.
 *
 * Layout: Microsoft's "PE Format", "Optional Header Data Directories" and
 * "The Attribute Certificate Table".
 *
 * @throws Error when it is no 64-bit PE file, or something follows the signature
 */
export function withoutSignature(program: Buffer): Buffer {
  const header = program.length < 0x40 ? 0 : program.readUInt32LE(0x3c);
  const optional = header + 24;
  const fits = header > 0 && optional + 152 <= program.length;
  if (!fits || program.toString('latin1', header, header + 4) !== 'PE\0\0') {
    throw new Error('not a program for Windows');
  }
  const PE32_PLUS = 0x20b;
  if (program.readUInt16LE(optional) !== PE32_PLUS) throw new Error('not a 64-bit program');
  // The fifth directory; unlike the others its address is an offset in the file.
  const directory = optional + 112 + 4 * 8;
  const start = program.readUInt32LE(directory);
  const size = program.readUInt32LE(directory + 4);
  if (size === 0) return program;
  if (start + size !== program.length) throw new Error('the signature is not at the end');
  const bare = Buffer.from(program.subarray(0, start));
  bare.fill(0, directory, directory + 8);
  const checksum = optional + 64;
  bare.fill(0, checksum, checksum + 4); // of the signed file; looked at for drivers only
  return bare;
}
