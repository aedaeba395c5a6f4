import type { ArchiveReader } from '../bytes/archive.js';
import { collect } from '../bytes/collect.js';
import { memoryAccess } from '../bytes/memory.js';
import { ReadError, type ByteStream, type RandomAccess } from '../bytes/source.js';
import { gunzip } from './gunzip.js';

/**
 * One way into a ZIP or gzip file. A ZIP may have two members of one name, so
 * that `index`, the position among all of its members, says which one is meant.
 */
export type ContainerStep =
  | { readonly kind: 'gunzip' }
  | { readonly kind: 'unzip'; readonly member: string; readonly index: number };

/** Whether the first bytes are a ZIP's first local file header (APPNOTE 4.3.7). */
export function isZip([p, k, three, four]: Uint8Array): boolean {
  return p === 0x50 && k === 0x4b && three === 3 && four === 4;
}

/**
 * Streams what lies behind one or more steps. Everything but the last step's
 * content is held in memory, at most `limit` bytes of each.
 *
 * @throws ReadError while iterating: `bad-archive` when the content is not what the steps were made for, `limit-exceeded`
 */
export async function* openInside(
  content: RandomAccess,
  steps: readonly ContainerStep[],
  archives: ArchiveReader | null,
  limit: number,
): ByteStream {
  const [step, ...rest] = steps;
  if (step === undefined) {
    yield* content.read({ start: 0, end: content.size });
    return;
  }
  if (step.kind === 'gunzip') {
    const inflated = await inflate(content, archives, limit);
    yield* openInside(memoryAccess(inflated), rest, archives, limit);
    return;
  }
  if (archives === null) throw new ReadError('bad-archive', 'ZIP files cannot be opened here');
  const archive = await archives.open(content);
  try {
    const member = archive.members[step.index];
    if (member?.kind !== 'file' || member.path !== step.member) {
      throw new ReadError('bad-archive', `the ZIP has no member "${step.member}" in this place`);
    }
    if (rest.length === 0) {
      yield* archive.read(member);
      return;
    }
    const bytes = member.size > limit ? null : await collect(archive.read(member), member.size);
    if (bytes === null) throw tooLarge(limit);
    yield* openInside(memoryAccess(bytes), rest, archives, limit);
  } finally {
    await archive.close();
  }
}

/** What a gzip file holds. Throws ReadError. */
export async function inflate(
  content: RandomAccess,
  archives: ArchiveReader | null,
  limit: number,
): Promise<Uint8Array> {
  // Blocks that hold nothing would let a small result take any number of bytes.
  if (content.size > limit + GZIP_OVERHEAD) throw tooLarge(limit);
  const source = content.read({ start: 0, end: content.size });
  const inflated = await gunzip(source, limit, archives);
  if (inflated === 'damaged') throw new ReadError('bad-archive', 'the gzip data is damaged');
  if (inflated === 'too-large') throw tooLarge(limit);
  return inflated;
}

/** Bytes by which gzip may be larger than what it holds: 5 for each block of up to 64 KiB, and a name. */
const GZIP_OVERHEAD = 1 << 20;

function tooLarge(limit: number): ReadError {
  return new ReadError('limit-exceeded', `what is inside is larger than ${String(limit)} bytes`);
}
