/** The four hash-wasm constructors; a module of its own so that the library loads only when hashing starts. */
import { createCRC32, createMD5, createSHA1, createSHA256 } from 'hash-wasm';
import type { IHasher } from 'hash-wasm/dist/lib/WASMInterface.js';
import type { Algorithm } from '../bytes/digests.js';

export type WasmHasher = IHasher;

/** A fresh WebAssembly instance. hash-wasm's CRC-32 has the reflected polynomial EDB88320 by default: ISO-HDLC. */
export const CREATE: Readonly<Record<Algorithm, () => Promise<WasmHasher>>> = {
  crc32: () => createCRC32(),
  md5: createMD5,
  sha1: createSHA1,
  sha256: createSHA256,
};
