import type { MemberModel } from './expectation.js';
import { digestsOf } from './contents.js';
import type { Random } from './random.js';
import type { FileNode } from './tree.js';
import { writeZip, type ZipLies, type ZipMember } from '../support/zip.js';

interface Part {
  readonly member: ZipMember;
  readonly path: string;
  readonly damaged: boolean;
}

/** A ZIP of the members a manifest lists: mostly sound, else with damage that the truth about it names. */
export function makeArchive(
  random: Random,
  wanted: readonly MemberModel[],
  contents: readonly Buffer[],
): FileNode {
  const parts: Part[] = [];
  for (const one of wanted) {
    if (random.chance(0.05)) continue;
    const bytes = random.chance(0.9) ? rightBytes(random, one, contents) : random.pick(contents);
    parts.push(sound(random, one.path, bytes));
  }
  const extras = random.pick([0, 0, 0, 1, 2]);
  for (let index = 0; index < extras; index++) {
    parts.push(sound(random, `extra/${index} \u00e9\n`, random.pick(contents)));
  }
  if (random.chance(0.2)) parts.push({ ...folder('deep/'), damaged: false });
  if (random.chance(0.25) && parts.length > 0) {
    const index = random.below(parts.length);
    const part = parts[index];
    if (part !== undefined) parts[index] = damage(random, part);
  }
  parts.sort(() => random.below(3) - 1);
  return nodeOf(parts, random.chance(0.3) ? { comment: Buffer.from('invented') } : {});
}

/** The file and the truth about it. */
function nodeOf(parts: readonly Part[], lies: ZipLies): FileNode {
  return {
    kind: 'file',
    bytes: writeZip(
      parts.map((part) => part.member),
      lies,
    ),
    zip: {
      members: parts
        .filter((part) => !part.damaged && !part.path.endsWith('/'))
        .map((part) => ({ path: part.path, bytes: part.member.bytes })),
      damaged: parts.filter((part) => part.damaged).map((part) => part.path),
      suspect: parts.some((part) => part.damaged),
    },
  };
}

function sound(random: Random, path: string, bytes: Buffer): Part {
  const member: ZipMember = {
    name: path,
    bytes,
    deflate: random.chance(0.5),
    zip64: random.chance(0.1),
    descriptor: random.chance(0.15),
  };
  return { member, path, damaged: false };
}

function folder(path: string): { member: ZipMember; path: string } {
  return { member: { name: path, bytes: Buffer.alloc(0) }, path };
}

/** One kind of damage that makes a member impossible to read whole. */
function damage(random: Random, part: Part): Part {
  const { bytes } = part.member;
  const says = random.oneOf<NonNullable<ZipMember['says']>>(
    () => ({ crc32: random.bits() }),
    () => ({ size: bytes.length + random.between(1, 1000) }),
    () => ({ size: 2 ** 31 }),
    () => ({ size: Math.max(0, bytes.length - 1), crc32: random.bits() }),
    () => ({ flags: 1 }), // encrypted
    () => ({ method: random.pick([1, 9, 12, 14, 93, 99]) }),
    () => ({ localOffset: random.bits() % 2 ** 31 }),
    () => ({ compressedSize: 2 ** 30 }),
  );
  // A deflated member ends by itself, whatever its compressed size is said to
  // be; a stored one does not.
  const deflate = says.compressedSize === undefined && part.member.deflate === true;
  return { ...part, member: { ...part.member, deflate, says }, damaged: true };
}

function rightBytes(random: Random, one: MemberModel, contents: readonly Buffer[]): Buffer {
  const dump = random.pick(one.dumps);
  const found = contents.find((bytes) =>
    Object.entries(dump.digests).every(([name, hex]) => digestsOf(bytes)[name as 'md5'] === hex),
  );
  return found ?? random.pick(contents);
}
