import { deflateRawSync, gzipSync } from 'node:zlib';
import type { Identification } from '@firmtally/core';
import { writeZip, type ZipMember } from '../support/zip.js';
import { mutateBytes } from './mutate-bytes.js';
import type { Random } from './random.js';

type ContainerStep = Identification['inside'][number];

/** What lies at one place of a pile file. Known as it was put there, by nothing that reads archives. */
interface Placed {
  /** The way to it, outermost first. */
  readonly steps: readonly ContainerStep[];
  readonly bytes: Buffer;
  /** Whether every archive on the way is sound, so that it has to be found. */
  readonly sound: boolean;
}

/** A pile file, and all that lies in it, itself included. */
export interface Nest {
  /** A name that says what it is, as only by its name a member is taken for an archive: `a.zip.gz`. */
  readonly name: string;
  readonly bytes: Buffer;
  readonly placed: readonly Placed[];
}

/** ZIP and gzip in each other, up to four levels; some of them made to hurt. */
export function makeNest(random: Random, leaves: readonly Buffer[]): Nest {
  return random.chance(0.1)
    ? overlapping(random, leaves)
    : nest(random, leaves, random.between(1, 4));
}

function nest(random: Random, leaves: readonly Buffer[], levels: number): Nest {
  if (levels === 0) return leaf(random.pick(leaves));
  if (random.chance(0.35)) return gzipped(random, nest(random, leaves, levels - 1));
  const count = random.pick([1, 1, 2, 3, random.chance(0.05) ? 400 : 4]);
  const inner = Array.from({ length: count }, () =>
    nest(random, leaves, count > 10 || random.chance(0.4) ? 0 : levels - 1),
  );
  return zipped(random, inner);
}

function leaf(bytes: Buffer): Nest {
  return { name: 'a.bin', bytes, placed: [{ steps: [], bytes, sound: true }] };
}

/** All that lies in the inner one, one step further in. */
function behind(step: ContainerStep, inner: Nest, sound: boolean): Placed[] {
  return inner.placed.map((one) => ({
    ...one,
    steps: [step, ...one.steps],
    sound: sound && one.sound,
  }));
}

function around(name: string, bytes: Buffer, placed: readonly Placed[]): Nest {
  return { name, bytes, placed: [{ steps: [], bytes, sound: true }, ...placed] };
}

function gzipped(random: Random, inner: Nest): Nest {
  const whole = gzipSync(inner.bytes, { level: random.pick([0, 1, 9]) });
  const hurt = random.chance(0.15);
  const bytes = !hurt
    ? whole
    : random.oneOf(
        () => whole.subarray(0, random.below(whole.length)),
        () => mutateBytes(random, whole, [Buffer.from([0x1f, 0x8b, 8])]),
        // Another member behind it: RFC 1952, 2.2 takes both as one file.
        () => Buffer.concat([whole, gzipSync(random.bytes(20))]),
        // The size it ends with (RFC 1952, 2.3.1) lies.
        () => Buffer.concat([whole.subarray(0, -4), random.bytes(4)]),
      );
  return around(`${inner.name}.gz`, bytes, behind({ kind: 'gunzip' }, inner, !hurt));
}

function zipped(random: Random, inner: readonly Nest[]): Nest {
  const lying = random.chance(0.15) ? random.below(inner.length) : -1;
  const nameAt = (index: number): string => `${String(index)} ${inner[index]?.name ?? ''}`;
  const members = inner.map(({ bytes }, index): ZipMember => {
    const member = { name: nameAt(index), bytes, deflate: random.chance(0.6) };
    return index === lying ? lie(random, member) : member;
  });
  const bytes = writeZip(members);
  const placed = inner.flatMap((one, index) =>
    behind(
      { kind: 'unzip', member: nameAt(index), index },
      one,
      // One that lies of its place or size may make the whole archive be refused.
      lying === -1,
    ),
  );
  return around('a.zip', bytes, placed);
}

function lie(random: Random, member: ZipMember): ZipMember {
  const { length } = member.bytes;
  const says = random.oneOf<NonNullable<ZipMember['says']>>(
    () => ({ size: random.pick([0, 1, Math.max(0, length - 1), length + 1, 2 ** 31]) }),
    () => ({ compressedSize: random.pick([0, 1, 2 ** 31]) }),
    () => ({ crc32: random.bits() }),
    () => ({ localOffset: random.pick([0, 1, 2 ** 31]) }),
    () => ({ method: random.pick([1, 12, 99]) }),
  );
  return { ...member, says };
}

/** Members that share the bytes of the first, which grow a thousandfold: the shape of a ZIP bomb. */
function overlapping(random: Random, leaves: readonly Buffer[]): Nest {
  const size = random.pick([100_000, 1 << 20]);
  const zeros = Buffer.alloc(size);
  const first: ZipMember = { name: 'm0.bin', bytes: zeros, deflate: true };
  const says = { localOffset: 0, size, compressedSize: deflateRawSync(zeros).length };
  const others = Array.from({ length: random.pick([1, 20, 300]) }, (_, index): ZipMember => ({
    ...first,
    bytes: Buffer.alloc(0),
    name: `m${String(index + 1)}.bin`,
    says,
  }));
  const last = random.pick(leaves);
  const bytes = writeZip([first, ...others, { name: 'last.bin', bytes: last }]);
  const unzip = (member: string, index: number, content: Buffer): Placed => ({
    steps: [{ kind: 'unzip', member, index }],
    bytes: content,
    sound: false,
  });
  const inner = around('a.zip', bytes, [
    unzip('m0.bin', 0, zeros),
    unzip('last.bin', others.length + 1, last),
  ]);
  return random.chance(0.5) ? inner : gzipped(random, inner);
}

/** More than may be inflated for one file (1 GiB): truthful members of zeros, whose size is that of a dump. */
export function makeBomb(zeros: number, members: number): Buffer {
  const bytes = Buffer.alloc(zeros);
  const one = writeZip([{ name: 'm0.bin', bytes, deflate: true }]);
  return writeZip(
    Array.from({ length: members }, (_, index) => ({ name: `z${String(index)}.zip`, bytes: one })),
  );
}
