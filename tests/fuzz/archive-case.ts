import { digestStream, memoryAccess, ReadError } from '@firmtally/core';
import { nativeEngine, zipReader } from '@firmtally/host/internal';
import { check } from './check.js';
import { digestsOf, makeContents } from './contents.js';
import { hostileArchive } from './hostile-archive.js';
import { makeArchive } from './make-archive.js';
import { Random } from './random.js';

/** Members of a reader that keeps its promises are at most this many, and their bytes at most these. */
const MOST_MEMBERS = 65_536;
const MOST_BYTES = 64 * 1024 * 1024;

/** An archive made to hurt: it is read, or refused with a ReadError; a member read whole is what it declares. */
export async function hostileArchiveCase(seed: number): Promise<void> {
  const random = new Random(seed);
  const bytes = random.bytes(random.pick([0, 1, 16, 64, 500]));
  const archive = hostileArchive(random, {
    name: 'k0.rom',
    bytes,
    deflate: random.chance(0.5),
    descriptor: random.chance(0.2),
  });
  let open;
  try {
    open = await zipReader.open(memoryAccess(archive));
  } catch (error) {
    mustBeReadError(error, archive);
    return;
  }
  check(open.members.length <= MOST_MEMBERS, 'too many members', open.members.length);
  for (const member of open.members.slice(0, 50)) {
    let total = 0;
    const counted = async function* (): AsyncGenerator<Uint8Array> {
      for await (const chunk of open.read(member)) {
        total += chunk.length;
        check(total <= Math.min(member.size, MOST_BYTES), 'more bytes than declared', member);
        yield chunk;
      }
    };
    try {
      const found = await digestStream(counted(), ['crc32', 'md5'], nativeEngine);
      check(found.size === member.size, 'another size than declared', { found, member });
      check(found.digests.crc32 === member.crc32, 'another CRC-32 than declared', {
        found,
        member,
      });
    } catch (error) {
      mustBeReadError(error, archive);
    }
  }
  await open.close();
}

/** An archive whose truth is known: every sound member reads as what went in, every damaged one is refused. */
export async function knownArchiveCase(seed: number): Promise<void> {
  const random = new Random(seed);
  const contents = makeContents(random, 6);
  const wanted = contents.slice(0, random.between(1, 4)).map((bytes, index) => ({
    path: `deep/k${index}.rom`,
    dumps: [{ label: null, size: null, digests: digestsOf(bytes) }],
  }));
  const file = makeArchive(random, wanted, contents);
  const truth = file.zip;
  check(truth !== undefined, 'an archive', file);
  let open;
  try {
    open = await zipReader.open(memoryAccess(file.bytes));
  } catch (error) {
    mustBeReadError(error, file.bytes);
    check(truth.suspect, 'a sound archive is refused', {
      error,
      bytes: file.bytes.toString('hex'),
    });
    return;
  }
  for (const sound of truth.members) {
    const named = open.members.filter((member) => member.path === sound.path);
    check(named.length > 0, `no member ${sound.path}`, open.members);
    const [member] = named;
    check(member !== undefined && named.length === 1, 'one member of a name', named);
    const found = await digestStream(open.read(member), ['md5', 'sha1'], nativeEngine);
    const digests = digestsOf(sound.bytes);
    check(found.digests.md5 === digests.md5, 'MD5 of a member', { found, digests });
    check(found.digests.sha1 === digests.sha1, 'SHA-1 of a member', { found, digests });
  }
  for (const path of truth.damaged) {
    const member = open.members.find((one) => one.path === path);
    if (member === undefined) continue;
    const outcome = await digestStream(open.read(member), ['md5'], nativeEngine).catch(
      (error: unknown) => {
        mustBeReadError(error, file.bytes);
        return null;
      },
    );
    check(outcome === null, 'a damaged member reads as if sound', { member, outcome });
  }
  await open.close();
}

function mustBeReadError(error: unknown, archive: Buffer): void {
  if (error instanceof ReadError) {
    check(error.message.length < 500, 'a long message', error.message);
    return;
  }
  check(false, 'another error than ReadError', {
    error,
    archive: archive.subarray(0, 2000).toString('hex'),
  });
}
