import type { Archive, ArchiveMember, ArchiveReader } from '../bytes/archive.js';
import { ReadError, type RandomAccess } from '../bytes/source.js';
import { addTo } from '../collections.js';
import type { Algorithm, StreamDigests } from '../bytes/digests.js';
import type { DigestEngine, Platform } from '../digest/engine.js';
import { digestStream } from '../digest/stream.js';
import { fact } from '../facts/fact.js';
import type { Fact } from '../facts/fact-values.js';
import type { Member } from '../manifest/model.js';
import { foldCase } from '../text/fold.js';
import { baseName } from '../text/path.js';
import type { ContainerStep } from './containers.js';
import { algorithmsOf, hasSizeOnly, matchDump, sizeCanMatch, sizesOf } from './dumps.js';
import { RECOGNISE_LIMITS } from './limits.js';

/** A ZIP's members, and the digests of those that were read. */
export class ZipContents {
  /** Files only, in the order of the central directory. */
  readonly files: readonly ArchiveMember[];
  readonly #steps = new Map<ArchiveMember, ContainerStep>();
  readonly #found: ReadonlyMap<ArchiveMember, StreamDigests | ReadError>;
  #byPath: Map<string, ArchiveMember[]> | null = null;
  #byFolded: Map<string, ArchiveMember> | null = null;

  constructor(
    members: readonly ArchiveMember[],
    found: ReadonlyMap<ArchiveMember, StreamDigests | ReadError>,
  ) {
    for (const [index, member] of members.entries()) {
      if (member.kind !== 'file') continue;
      this.#steps.set(member, { kind: 'unzip', member: member.path, index });
    }
    this.files = [...this.#steps.keys()];
    this.#found = found;
  }

  /** The way to one of `files`. */
  stepTo(member: ArchiveMember): ContainerStep {
    const step = this.#steps.get(member);
    if (step === undefined) throw new Error('the member is not one of this ZIP');
    return step;
  }

  /** Of a member; undefined when it was not read. */
  digestsOf(member: ArchiveMember): StreamDigests | ReadError | undefined {
    return this.#found.get(member);
  }

  /** Members of a path, which is compared in Unicode NFC. A ZIP may have several. */
  named(path: string): readonly ArchiveMember[] {
    if (this.#byPath === null) {
      this.#byPath = new Map();
      for (const file of this.files) addTo(this.#byPath, nfc(file.path), file);
    }
    return this.#byPath.get(nfc(path)) ?? [];
  }

  /** A member whose path differs in letter case only, else one of the same name in any folder and case. */
  near(path: string): ArchiveMember | null {
    if (this.#byFolded === null) {
      this.#byFolded = new Map();
      for (const file of this.files) {
        for (const key of [foldCase(file.path), `*/${foldCase(baseName(file.path))}`]) {
          if (!this.#byFolded.has(key)) this.#byFolded.set(key, file);
        }
      }
    }
    const folded = foldCase(path);
    return this.#byFolded.get(folded) ?? this.#byFolded.get(`*/${baseName(folded)}`) ?? null;
  }
}

/** One that opens ZIPs. */
export interface ZipPlatform extends Platform {
  readonly archives: ArchiveReader;
}

/**
 * Reads what a ZIP holds: the digests of the members that `algorithmsFor` names
 * algorithms for, each once. A member that cannot be read is kept with its error.
 *
 * @throws `ReadError('bad-archive')` for what is no ZIP, and what reading the file itself throws
 */
export async function readZip(
  content: RandomAccess,
  { archives, engine }: ZipPlatform,
  algorithmsFor: (member: ArchiveMember) => readonly Algorithm[],
): Promise<ZipContents> {
  const archive = await archives.open(content);
  try {
    return await readMembers(archive, engine, algorithmsFor);
  } finally {
    await archive.close();
  }
}

async function readMembers(
  archive: Archive,
  engine: DigestEngine,
  algorithmsFor: (member: ArchiveMember) => readonly Algorithm[],
): Promise<ZipContents> {
  const found = new Map<ArchiveMember, StreamDigests | ReadError>();
  for (const member of archive.members) {
    if (member.kind !== 'file') continue;
    const algorithms = algorithmsFor(member);
    if (algorithms.length === 0) continue;
    try {
      // The CRC-32 that the ZIP states is not trusted: only the bytes count.
      found.set(member, await digestStream(archive.read(member), algorithms, engine));
    } catch (error) {
      if (!(error instanceof ReadError)) throw error;
      found.set(member, error);
    }
  }
  return new ZipContents(archive.members, found);
}

/** Every member that entries want, so that a ZIP is read once for all of them. */
export class WantedMembers {
  readonly #dumps = new Map<string, Member['dumps'][number][]>();

  constructor(entries: Iterable<{ readonly members: readonly Member[] | null }>) {
    for (const { members } of entries) {
      for (const { path, dumps } of members ?? []) {
        for (const dump of dumps) addTo(this.#dumps, nfc(path), dump);
      }
    }
  }

  /** None for a member that no entry wants by this path, or that is too large to be one. */
  algorithmsFor(member: ArchiveMember): readonly Algorithm[] {
    const dumps = this.#dumps.get(nfc(member.path));
    if (dumps === undefined) return [];
    const plausible =
      member.size <= RECOGNISE_LIMITS.otherSizeBytes || sizeCanMatch(member.size, dumps);
    return plausible ? algorithmsOf(dumps) : [];
  }
}

/** What a ZIP's members say about an entry that lists some. */
export interface MembersFinding {
  /** `right`: every listed member is there and proven. `unproven`: none is wrong, but one has only its size to tell by. */
  readonly outcome: 'right' | 'unproven' | 'wrong';
  /** One for each wrong or unproven member, and one naming the extra ones. */
  readonly facts: readonly Fact[];
  /** The listed members that are wrong, and what is wrong with each, in listed order. */
  readonly wrong: readonly { readonly member: Member; readonly fact: Fact }[];
}

/**
 * Whether a ZIP has the members wanted: the one check that every verdict,
 * diagnosis and plan rests on. Damage is a finding about the bytes; throws the
 * ReadError of a listed member that could not be read for another reason,
 * unless `unread` says to take such a member as wrong.
 */
export function checkMembers(
  contents: ZipContents,
  wanted: readonly Member[],
  unread: 'throw' | 'skip' = 'throw',
): MembersFinding {
  const facts: Fact[] = [];
  const wrong: { member: Member; fact: Fact }[] = [];
  const listed = new Set<string>();
  let unproven = false;
  for (const member of wanted) {
    listed.add(nfc(member.path));
    const found = checkMember(contents, member, unread);
    if (found === null) continue;
    facts.push(found);
    if (found.code === 'member-size-only') unproven = true;
    else wrong.push({ member, fact: found });
  }
  const extra = contents.files.filter((file) => !listed.has(nfc(file.path)));
  if (extra.length > 0) facts.push(extraMembers(extra));
  const outcome = wrong.length > 0 ? 'wrong' : unproven ? 'unproven' : 'right';
  return { outcome, facts, wrong };
}

/** Null when one of the members of that name is right; else what is wrong with the best of them. */
function checkMember(contents: ZipContents, wanted: Member, unread: 'throw' | 'skip'): Fact | null {
  const named = contents.named(wanted.path);
  if (named.length === 0) return missing(contents, wanted.path);
  let first: Fact | null = null;
  let failure: ReadError | null = null;
  for (const file of named) {
    const found = contents.digestsOf(file);
    if (found instanceof ReadError && found.code !== 'bad-archive' && unread === 'throw') {
      failure ??= found;
      continue;
    }
    const problem = problemOf(file, found, wanted);
    if (problem === null) return null;
    if (first === null || problem.code === 'member-size-only') first = problem;
  }
  if (failure !== null) throw failure;
  return first;
}

function problemOf(
  file: ArchiveMember,
  found: StreamDigests | ReadError | undefined,
  wanted: Member,
): Fact | null {
  const member = wanted.path;
  if (found instanceof ReadError) {
    return fact('member-unreadable', { member, encrypted: file.encrypted, reason: found.message });
  }
  if (found !== undefined && matchDump(found, wanted.dumps) !== null) return null;
  const { size } = found ?? file;
  if (hasSizeOnly(size, wanted.dumps)) return fact('member-size-only', { member, size });
  if (!wanted.dumps.some((dump) => dump.size === null || dump.size === size)) {
    return fact('member-size', { member, size, sizes: sizesOf(wanted.dumps) });
  }
  return found === undefined
    ? fact('member-not-read', { member })
    : fact('member-bytes', { member });
}

function missing(contents: ZipContents, path: string): Fact {
  return fact('member-missing', { member: path, near: contents.near(path)?.path ?? null });
}

/** More names than this are counted, not listed. */
const MAX_NAMES = 10;

function extraMembers(extra: readonly ArchiveMember[]): Fact {
  const members = extra.slice(0, MAX_NAMES).map((member) => member.path);
  return fact('extra-members', { members, more: extra.length - members.length });
}

function nfc(path: string): string {
  return path.normalize('NFC');
}
