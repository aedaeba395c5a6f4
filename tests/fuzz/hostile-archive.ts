import { deflateRawSync } from 'node:zlib';
import { mutateBytes } from './mutate-bytes.js';
import type { Random } from './random.js';
import { writeZip, type ZipLies, type ZipMember } from '../support/zip.js';

/** An archive made to hurt a ZIP reader. `wanted` is in most of them, so that reading goes on past the directory. */
export function hostileArchive(random: Random, wanted: ZipMember): Buffer {
  const zeros = (megabytes: number): Buffer => Buffer.alloc(megabytes * 1024 * 1024);
  const one = (member: Partial<ZipMember>): ZipMember => ({ ...wanted, ...member });
  return random.oneOf(
    // Damage anywhere.
    () => mutateBytes(random, writeZip([wanted, extra(random)]), SIGNATURES),
    () => mutateBytes(random, writeZip([wanted, extra(random)]), SIGNATURES),
    () => mutateBytes(random, writeZip([one({ zip64: true })], { zip64: true }), SIGNATURES),
    () => truncated(random, writeZip([extra(random), wanted])),
    // The end record lies.
    () => writeZip([wanted], lies(random)),
    () => writeZip([wanted], { ...lies(random), zip64: true }),
    () => writeZip([wanted], { before: random.bytes(random.below(300)) }),
    () => writeZip([wanted], { comment: writeZip([extra(random)]) }), // an end record in the comment
    () => Buffer.concat([writeZip([wanted]), random.bytes(random.pick([1, 21, 22, 65_557]))]),
    // A member lies.
    () => writeZip([one({ says: { size: random.pick([0, 1, 2 ** 31, 2 ** 32 - 2]) } })]),
    () => writeZip([one({ says: { compressedSize: random.pick([0, 1, 2 ** 31, 2 ** 32 - 2]) } })]),
    () =>
      writeZip([
        one({
          says: { localOffset: random.pick([0, 1, 29, 2 ** 31, 2 ** 32 - 2]) },
          deflate: true,
        }),
      ]),
    () => writeZip([one({ says: { crc32: random.bits(), flags: random.below(65_536) } })]),
    () => writeZip([one({ says: { method: random.below(100) } })]),
    () => writeZip([one({ zip64: true, says: { size: 2 ** 52 } })]),
    () => writeZip([one({ zip64: true, says: { localOffset: 2 ** 60 } })]),
    // Two members share bytes.
    () =>
      writeZip([wanted, ...Array.from({ length: 20 }, () => one({ says: { localOffset: 0 } }))]),
    // A little that becomes much.
    () => writeZip([one({ bytes: zeros(1), deflate: true, says: { size: wanted.bytes.length } })]),
    () => writeZip([one({ bytes: zeros(4), deflate: true })]),
    () => writeZip([one({ bytes: deflateRawSync(zeros(1)), deflate: true })]),
    // Names.
    () => writeZip(NAMES.map((name) => one({ name }))),
    () => writeZip([wanted, one({ bytes: Buffer.from('another') }), wanted]),
    () => writeZip([one({ name: Buffer.from([0xff, 0x80, 0x2f, 0x00]) })]),
    () => writeZip([one({ name: 'n'.repeat(random.pick([0, 1, 255, 65_535])) })]),
    () =>
      writeZip(
        Array.from({ length: 3000 }, (_, index) =>
          one({ name: `m${index}`, bytes: Buffer.alloc(0) }),
        ),
      ),
    // No archive at all.
    () => Buffer.concat([Buffer.from('PK\x03\x04'), random.bytes(random.below(100))]),
    () =>
      random.pick([
        Buffer.alloc(0),
        Buffer.from('PK'),
        Buffer.from('PK\x05\x06'),
        Buffer.alloc(22),
        Buffer.alloc(100_000),
      ]),
    () => Buffer.concat([Buffer.from('PK\x05\x06'), Buffer.alloc(18)]), // an empty archive
  );
}

const NAMES = [
  '../up',
  '/absolute',
  'C:\\x',
  '..\\up',
  '',
  '.',
  'a//b',
  'nul\0',
  '\u202e',
  'line\n',
  '__proto__',
  'dir/',
  'k0.rom/',
];

const SIGNATURES = [
  'PK\x01\x02',
  'PK\x03\x04',
  'PK\x05\x06',
  'PK\x06\x06',
  'PK\x06\x07',
  '\xff\xff\xff\xff',
  '\0\0\0\0',
].map((text) => Buffer.from(text, 'latin1'));

function lies(random: Random): ZipLies {
  const number = (): number => random.pick([0, 1, 2, 45, 46, 1000, 65_534, 2 ** 31, 2 ** 32 - 2]);
  return random.oneOf<ZipLies>(
    () => ({ entries: number() }),
    () => ({ directorySize: number() }),
    () => ({ directoryOffset: number() }),
    () => ({ entries: number(), directorySize: number(), directoryOffset: number() }),
  );
}

function truncated(random: Random, bytes: Buffer): Buffer {
  return bytes.subarray(0, random.below(bytes.length));
}

function extra(random: Random): ZipMember {
  return {
    name: `extra ${random.below(10)}`,
    bytes: random.bytes(random.below(300)),
    deflate: random.chance(0.5),
  };
}
