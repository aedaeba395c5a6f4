import type { Archive, ArchiveMember, ArchiveReader } from '../bytes/archive.js';
import { ArchiveBudget, withBudget } from '../bytes/archive-budget.js';
import { collect, readRange } from '../bytes/collect.js';
import { contentPath, entryAccess } from '../bytes/entry-content.js';
import { memoryAccess } from '../bytes/memory.js';
import { ReadError, type Entry, type RandomAccess } from '../bytes/source.js';
import { sortAlgorithms, type Algorithm, type StreamDigests } from '../bytes/digests.js';
import { digestFile, digestStream } from '../digest/stream.js';
import { fact } from '../facts/fact.js';
import type { FactValues } from '../facts/fact-values.js';
import type { Firmware } from '../manifest/model.js';
import { sentence } from '../text/sentence.js';
import { inflate, isZip, type ContainerStep } from './containers.js';
import { isGzip } from './gunzip.js';
import { RECOGNISE_LIMITS } from './limits.js';
import { ZipContents } from './members.js';
import { originName, type Origin } from './origin.js';

import type { Found, SearchedSource, SearchInput, SourceFault } from './found.js';

type Why = FactValues['not-looked-at']['why'];

/** What is known of some bytes before and after they were read. */
interface Item {
  readonly inside: readonly ContainerStep[];
  readonly name: string;
  readonly size: number;
  readonly found: StreamDigests | null;
}

/** The search through one file. */
export class FileSearch {
  readonly found: Found[] = [];
  readonly faults: SourceFault[] = [];
  readonly #input: SearchInput;
  readonly #source: SearchedSource;
  readonly #entry: Entry;
  readonly #algorithms: readonly Algorithm[];
  readonly #skipped = new Map<Why, number>();
  /** Opens archives within what one file may take, however they lie in each other. */
  readonly #archives: ArchiveReader | null;
  #inflatedLeft: number;

  constructor(input: SearchInput, source: SearchedSource, entry: Entry) {
    this.#input = input;
    this.#source = source;
    this.#entry = entry;
    this.#algorithms = sortAlgorithms([...(input.always ?? []), ...input.known.algorithms]);
    const { inflatedBytes, inflatedPerByte, members } = RECOGNISE_LIMITS;
    const bytes = inflatedBytes + inflatedPerByte * entry.size;
    this.#inflatedLeft = bytes;
    const { archives } = input.platform;
    const budget = new ArchiveBudget({ bytes, members });
    this.#archives = archives === null ? null : withBudget(archives, budget);
  }

  get path(): string {
    return this.#entry.path;
  }

  async run(): Promise<void> {
    const { path, size } = this.#entry;
    const item: Item = { inside: [], name: path, size, found: null };
    try {
      const found = this.#isWorthHashing() ? await this.#digestFile() : null;
      const content = entryAccess(this.#source.content, this.#entry);
      await this.#look(content, { ...item, found }, () => this.#digestFile());
    } catch (error) {
      this.#note(error);
      // What could not be read is still a file that was there.
      if (this.found.length === 0) this.#add(item, { unread: true });
    }
    this.#saySkipped();
  }

  #isWorthHashing(): boolean {
    const { path, size } = this.#entry;
    const { known } = this.#input;
    if (known.hasSize(size)) return true;
    return known.isWorthHashing(path, size) && (this.#source.isLikely?.(path) ?? true);
  }

  async #digestFile(): Promise<StreamDigests> {
    const { count, signal } = this.#input;
    const path = contentPath(this.#entry);
    count?.expect(this.#entry.size);
    try {
      const { engine } = this.#input.platform;
      return await digestFile(this.#source.content, path, this.#algorithms, engine, {
        onBytes: (bytes) => count?.advance(bytes, this.#entry.path),
        signal,
      });
    } finally {
      count?.done(this.#entry.path);
    }
  }

  /** Adds the item, and what is inside it when it is a container. `digest` hashes it when that turns out to be wanted. */
  async #look(
    content: RandomAccess,
    item: Item,
    digest: () => Promise<StreamDigests>,
  ): Promise<void> {
    const at = this.found.length;
    const kind = await this.#kindOf(content, item);
    const inner = kind === null ? null : await this.#open(kind, content, item);
    if (inner === null) {
      this.#add(item, {}, at);
      return;
    }
    const { zipFor } = inner;
    // A ZIP that is wanted as it stands is copied, and a copy is checked by its digests.
    const found = item.found ?? (zipFor.length > 0 ? await digest() : null);
    this.#add({ ...item, found }, { container: kind, zipFor }, at);
  }

  /** By name, and by the first bytes where reading them is cheap; null for what is no container. */
  async #kindOf(content: RandomAccess, { name, inside }: Item): Promise<'zip' | 'gzip' | null> {
    const named = this.#namedAs(name);
    const mayRead = inside.length > 0 || this.#source.isLikely === undefined;
    // A ZIP's end record alone has 22 bytes (APPNOTE 4.3.16), the least gzip file 18 (RFC 1952, 2.3).
    if (content.size < 18 || (named === null && !mayRead)) return null;
    const head = await readRange(content, { start: 0, end: 4 });
    if (isGzip(head)) return 'gzip';
    return named === 'zip' || isZip(head) ? 'zip' : null;
  }

  #namedAs(name: string): 'zip' | 'gzip' | null {
    if (/\.gz$/iu.test(name)) return 'gzip';
    return /\.zip$/iu.test(name) || this.#input.known.isZipName(name) ? 'zip' : null;
  }

  /** Null when it is not what it seemed to be. */
  async #open(
    kind: 'zip' | 'gzip',
    content: RandomAccess,
    item: Item,
  ): Promise<{ readonly zipFor: readonly Firmware[] } | null> {
    if (item.inside.length >= RECOGNISE_LIMITS.depth) {
      this.#skip('too-deep');
      return null;
    }
    if (kind === 'gzip') return this.#lookInGzip(content, item);
    const archives = this.#archives;
    if (archives === null) return null;
    let archive: Archive;
    try {
      archive = await archives.open(content);
    } catch (error) {
      if (error instanceof ReadError && error.code === 'bad-archive') return null;
      throw error;
    }
    try {
      return { zipFor: await this.#lookInZip(archive, item) };
    } finally {
      await archive.close();
    }
  }

  async #lookInGzip(
    content: RandomAccess,
    item: Item,
  ): Promise<{ readonly zipFor: readonly Firmware[] } | null> {
    const inside: readonly ContainerStep[] = [...item.inside, { kind: 'gunzip' }];
    const name = originName(item.name, [{ kind: 'gunzip' }]);
    const declared = await declaredSize(content);
    const { known } = this.#input;
    if (!known.isWorthHashing(name, declared) && this.#namedAs(name) === null) return null;
    let bytes: Uint8Array;
    try {
      bytes = await inflate(content, this.#archives, RECOGNISE_LIMITS.heldBytes);
    } catch (error) {
      if (!(error instanceof ReadError)) throw error;
      if (error.code === 'limit-exceeded') this.#skip('too-large');
      else if (error.code !== 'bad-archive') throw error;
      return null;
    }
    if (!this.#take(bytes.length)) return null;
    await this.#lookAtBytes(bytes, inside, name);
    return { zipFor: [] };
  }

  async #lookInZip(archive: Archive, item: Item): Promise<readonly Firmware[]> {
    const digests = new Map<ArchiveMember, StreamDigests>();
    for (const [index, member] of archive.members.entries()) {
      if (member.kind !== 'file') continue;
      this.#input.signal?.throwIfAborted();
      const step: ContainerStep = { kind: 'unzip', member: member.path, index };
      try {
        const found = await this.#lookAtMember(archive, member, [...item.inside, step]);
        if (found !== null) digests.set(member, found);
      } catch (error) {
        this.#note(error, member.path);
      }
    }
    return this.#input.known.zipsOf(new ZipContents(archive.members, digests));
  }

  async #lookAtMember(
    archive: Archive,
    member: ArchiveMember,
    inside: readonly ContainerStep[],
  ): Promise<StreamDigests | null> {
    const { known, platform } = this.#input;
    const { path, size, crc32 } = member;
    // A CRC-32 that the ZIP states wrongly fails the reading anyway, so it may rule a member out.
    const isWorth = known.isWorthHashing(path, size, crc32);
    const isContainer = this.#namedAs(path) !== null && size > 0;
    const mayOpen = isContainer && this.#mayOpen(size, inside);
    const item: Item = { inside, name: path, size, found: null };
    if (!isWorth && !mayOpen) {
      this.#add(item, {});
      return null;
    }
    if (member.encrypted) {
      this.#add(item, { unread: true });
      throw new ReadError('bad-archive', 'it is encrypted');
    }
    if (!this.#take(size)) {
      this.#add(item, {});
      return null;
    }
    if (mayOpen) {
      const bytes = await collect(archive.read(member), size);
      return bytes === null ? null : this.#lookAtBytes(bytes, inside, path);
    }
    try {
      const found = await digestStream(archive.read(member), this.#algorithms, platform.engine);
      this.#add({ ...item, found }, {});
      return found;
    } catch (error) {
      this.#add(item, { unread: true });
      throw error;
    }
  }

  #mayOpen(size: number, inside: readonly ContainerStep[]): boolean {
    if (inside.length >= RECOGNISE_LIMITS.depth) this.#skip('too-deep');
    else if (size > RECOGNISE_LIMITS.heldBytes) this.#skip('too-large');
    else return true;
    return false;
  }

  async #lookAtBytes(
    bytes: Uint8Array,
    inside: readonly ContainerStep[],
    name: string,
  ): Promise<StreamDigests | null> {
    const content = memoryAccess(bytes);
    const size = bytes.length;
    const { engine } = this.#input.platform;
    const digest = (): Promise<StreamDigests> =>
      digestStream(content.read({ start: 0, end: size }), this.#algorithms, engine);
    const found = this.#input.known.isWorthHashing(name, size) ? await digest() : null;
    await this.#look(content, { inside, name, size, found }, digest);
    return found;
  }

  #add(
    { inside, name, size, found }: Item,
    about: Partial<Pick<Found, 'container' | 'zipFor' | 'unread'>>,
    at = this.found.length,
  ): void {
    const { known } = this.#input;
    const { path } = this.#entry;
    const origin: Origin = {
      source: this.#source.name,
      path: this.#source.originPath?.(path) ?? path,
      inside,
    };
    const item: Found = {
      origin,
      source: this.#source,
      entry: this.#entry,
      name,
      size: found?.size ?? size,
      digests: found?.digests ?? null,
      matches: found === null ? [] : known.filesOf(found),
      memberOf: found === null ? [] : known.membersOf(found),
      zipFor: about.zipFor ?? [],
      container: about.container ?? null,
      unread: about.unread ?? false,
      facts: [],
    };
    if (at === this.found.length) this.found.push(item);
    else this.found.splice(at, 0, item);
  }

  #take(size: number): boolean {
    if (size > this.#inflatedLeft) {
      this.#skip('too-much');
      return false;
    }
    this.#inflatedLeft -= size;
    return true;
  }

  #skip(why: Why): void {
    this.#skipped.set(why, (this.#skipped.get(why) ?? 0) + 1);
  }

  #saySkipped(): void {
    const [first] = this.found;
    if (first === undefined || this.#skipped.size === 0) return;
    const facts = [...this.#skipped].map(([why, count]) => fact('not-looked-at', { count, why }));
    this.found[0] = { ...first, facts };
  }

  /** What cannot be read is a fault, never the end of the search. */
  #note(error: unknown, member: string | null = null): void {
    if (!(error instanceof ReadError)) throw error;
    const message =
      member === null ? sentence(error.message) : sentence(`member "${member}": ${error.message}`);
    const { path } = this.#entry;
    this.faults.push({ source: this.#source.name, path, code: error.code, message });
  }
}

/** ISIZE, the last four bytes of a gzip member (RFC 1952, 2.3.1): the size before compression, modulo 2^32. */
async function declaredSize(content: RandomAccess): Promise<number> {
  const tail = await readRange(content, { start: content.size - 4, end: content.size });
  return new DataView(tail.buffer, tail.byteOffset).getUint32(0, true);
}
