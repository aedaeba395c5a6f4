/**
 * A DLL for Windows that holds nothing but one forwarded export. Programs made
 * with Rust, vitest's bundler among them, ask Windows for random bytes through
 * `ProcessPrng` of bcryptprimitives.dll, which Wine has only since version 9;
 * the same thing under its older name is advapi32's SystemFunction036.
 *
 * Layout: Microsoft's "PE Format", sections "Optional Header" and "The .edata Section".
 */

/** Bytes: alignment of what is in the file, and of what is in memory. */
const IN_FILE = 0x200;
const IN_MEMORY = 0x1000;

export function forwardingDll(dll: string, from: string, to: string): Buffer {
  const image = Buffer.alloc(IN_FILE * 2);
  const [name, forwarder, exported] = [0x60, 0x90, 0x80].map((offset) => IN_MEMORY + offset) as [
    number,
    number,
    number,
  ];
  const [functions, names, ordinals] = [0x28, 0x2c, 0x30].map((offset) => IN_MEMORY + offset) as [
    number,
    number,
    number,
  ];
  const inFile = (address: number): number => IN_FILE + address - IN_MEMORY;
  const text = (address: number, value: string): unknown =>
    image.write(`${value}\0`, inFile(address), 'latin1');

  image.write('MZ', 0, 'latin1');
  image.writeUInt32LE(0x40, 0x3c); // where the PE header is
  image.write('PE\0\0', 0x40, 'latin1');

  const coff = 0x44;
  image.writeUInt16LE(0x8664, coff); // x86-64
  image.writeUInt16LE(1, coff + 2); // sections
  image.writeUInt16LE(0xf0, coff + 16); // bytes of the optional header
  image.writeUInt16LE(0x2022, coff + 18); // a DLL, executable, large addresses

  const optional = coff + 20;
  image.writeUInt16LE(0x20b, optional); // PE32+
  image.writeUInt8(14, optional + 2); // linker version
  image.writeUInt32LE(IN_FILE, optional + 8); // initialized data
  image.writeUInt32LE(IN_MEMORY, optional + 20); // base of code
  image.writeBigUInt64LE(0x180000000n, optional + 24); // image base
  image.writeUInt32LE(IN_MEMORY, optional + 32);
  image.writeUInt32LE(IN_FILE, optional + 36);
  image.writeUInt16LE(6, optional + 40); // least version of Windows
  image.writeUInt16LE(6, optional + 48);
  image.writeUInt32LE(IN_MEMORY * 2, optional + 56); // bytes in memory
  image.writeUInt32LE(IN_FILE, optional + 60); // bytes of headers
  image.writeUInt16LE(3, optional + 68); // console
  image.writeUInt16LE(0x160, optional + 70); // relocatable, no execution of data
  // Stack and heap: reserved, committed.
  [0x100000n, 0x1000n, 0x100000n, 0x1000n].forEach((bytes, index) =>
    image.writeBigUInt64LE(bytes, optional + 72 + 8 * index),
  );
  image.writeUInt32LE(16, optional + 108); // data directories
  image.writeUInt32LE(IN_MEMORY, optional + 112); // the first: exports
  image.writeUInt32LE(0x100, optional + 116);

  const section = optional + 0xf0;
  image.write('.rdata', section, 'latin1');
  image.writeUInt32LE(0x100, section + 8);
  image.writeUInt32LE(IN_MEMORY, section + 12);
  image.writeUInt32LE(IN_FILE, section + 16);
  image.writeUInt32LE(IN_FILE, section + 20);
  image.writeUInt32LE(0x40000040, section + 36); // initialized data, readable

  const directory = inFile(IN_MEMORY);
  image.writeUInt32LE(name, directory + 12);
  image.writeUInt32LE(1, directory + 16); // first ordinal
  image.writeUInt32LE(1, directory + 20); // functions
  image.writeUInt32LE(1, directory + 24); // names
  image.writeUInt32LE(functions, directory + 28);
  image.writeUInt32LE(names, directory + 32);
  image.writeUInt32LE(ordinals, directory + 36);
  // An address inside the directory is that of a forwarder's text.
  image.writeUInt32LE(forwarder, inFile(functions));
  image.writeUInt32LE(exported, inFile(names));
  image.writeUInt16LE(0, inFile(ordinals));
  text(name, dll);
  text(exported, from);
  text(forwarder, to);
  return image;
}
