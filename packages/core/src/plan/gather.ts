import type { Archive, ArchiveMember, ArchiveReader } from '../bytes/archive.js';
import { contentPath, entryAccess } from '../bytes/entry-content.js';
import {
  isReadable,
  ReadError,
  type ContentSource,
  type Entry,
  type Fault,
} from '../bytes/source.js';
import {
  sortAlgorithms,
  type Algorithm,
  type DigestStream,
  type FileDigester,
  type StreamDigests,
} from '../digest/engine.js';
import { DumpIndex, DumpLookup } from '../recognise/dump-index.js';
import { looksZipped } from '../recognise/containers.js';
import { checkMembers, readZip, WantedMembers } from '../recognise/members.js';
import type { Firmware } from '../manifest/model.js';
import type { ExpectedFirmware } from '../manifest/selection.js';
import { foldCase } from '../text/fold.js';
import { compareUtf8 } from '../text/order.js';
import { baseName } from '../text/path.js';
import type { Candidate, CandidateUse } from './candidate.js';
import type { ContainerStep } from '../recognise/containers.js';
import type { Origin } from './model.js';

/** Digests taken of everything that may be placed, whatever the manifest gives, so that a copy is always checked well. */
const ALWAYS: readonly Algorithm[] = ['crc32', 'md5', 'sha1'];

/** One place candidates come from: a source of the pile, or the card. */
export interface GatherInput {
  /** As the caller named it; null is the card. */
  readonly source: string | null;
  readonly entries: readonly Entry[];
  /** What an entry's path is called in {@link Origin}; itself when not given. */
  readonly originPath?: (path: string) => string;
  readonly folder: ContentSource;
  readonly digester: FileDigester;
  readonly archives: ArchiveReader;
  readonly digestStream: DigestStream;
  /** Firmware still to be placed. */
  readonly wanted: readonly ExpectedFirmware[];
  /** All firmware of the manifest, so that digests are taken for every entry at once. */
  readonly known: Iterable<Firmware>;
  /** Whether a file of this path, of a size no dump states, is read for dumps that state none. True for all when not given. */
  readonly isLikely?: (path: string) => boolean;
  readonly onFile?: (path: string) => void;
}

export interface Gathered {
  readonly candidates: readonly Candidate[];
  /** What could not be read, in UTF-8 order of path. */
  readonly faults: readonly Fault[];
}

/**
 * Looks through files for bytes that can be placed: whole files, ZIPs that
 * hold all members of an entry, and members of ZIPs. Only files of an expected
 * size are read, and ZIPs: files named `*.zip`, or as an entry with members is,
 * and in the pile those that begin as one.
 */
export async function gatherCandidates(input: GatherInput): Promise<Gathered> {
  const gatherer = new Gatherer(input);
  for (const entry of input.entries) {
    if (!isReadable(entry)) continue;
    input.onFile?.(entry.path);
    await gatherer.examine(entry);
  }
  return { candidates: gatherer.candidates, faults: gatherer.sortedFaults() };
}

class Gatherer {
  readonly candidates: Candidate[] = [];
  readonly #faults: Fault[] = [];
  readonly #input: GatherInput;
  readonly #index: DumpIndex;
  readonly #members: DumpLookup<{ readonly firmware: string; readonly member: string }>;
  readonly #algorithms: readonly Algorithm[];
  readonly #withMembers: readonly ExpectedFirmware[];
  readonly #zipNames: ReadonlySet<string>;

  constructor(input: GatherInput) {
    this.#input = input;
    this.#index = new DumpIndex(input.wanted.map(({ firmware }) => firmware));
    this.#members = new DumpLookup(
      input.wanted.flatMap(({ firmware }) =>
        (firmware.members ?? []).flatMap(({ path, dumps }) =>
          dumps.map((dump) => ({ owner: { firmware: firmware.id, member: path }, dump })),
        ),
      ),
    );
    this.#algorithms = sortAlgorithms([
      ...ALWAYS,
      ...this.#members.algorithms,
      ...new DumpIndex(input.known).algorithms,
    ]);
    this.#withMembers = input.wanted.filter(({ firmware }) => firmware.members !== null);
    this.#zipNames = new Set(this.#withMembers.map((each) => nameOf(each.expectedPath)));
  }

  async examine(entry: Entry): Promise<void> {
    try {
      const asZip = await this.#usesAsZip(entry);
      if (asZip.length === 0 && !this.#couldBeDump(entry)) return;
      const { digester } = this.#input;
      const found = await digester.digestFile(contentPath(entry), this.#algorithms);
      this.#add(entry, [], found, [...this.#usesOf(found), ...asZip]);
    } catch (error) {
      this.#note(entry, error);
    }
  }

  sortedFaults(): Fault[] {
    return this.#faults.sort((a, b) => compareUtf8(a.path, b.path));
  }

  #couldBeDump(entry: Entry): boolean {
    if (this.#index.hasSize(entry.size) || this.#members.hasSize(entry.size)) return true;
    return (
      (this.#index.anySize || this.#members.anySize) && (this.#input.isLikely?.(entry.path) ?? true)
    );
  }

  #usesOf(found: StreamDigests): CandidateUse[] {
    return this.#index
      .match(found)
      .map(({ firmware, dump }) => ({ firmware: firmware.id, dump: dump.label }));
  }

  /** Entries with members that this ZIP satisfies; on the way, members that are dumps become candidates. */
  async #usesAsZip(entry: Entry): Promise<CandidateUse[]> {
    const name = nameOf(entry.path);
    const { archives, folder, digestStream, source } = this.#input;
    const content = entryAccess(folder, entry);
    const named = name.endsWith('.zip') || this.#zipNames.has(name);
    // On a card, which is slow, the name alone has to say it.
    if (!named && (source === null || !(await looksZipped(content)))) return [];
    let archive: Archive;
    try {
      archive = await archives.open(content);
    } catch (error) {
      // What only begins as a ZIP need not be one.
      if (named) this.#note(entry, error);
      else if (!(error instanceof ReadError)) throw error;
      return [];
    }
    try {
      for (const [index, member] of archive.members.entries()) {
        await this.#examineMember(entry, archive, { index, member });
      }
      const uses: CandidateUse[] = [];
      for (const { firmware } of this.#withMembers) {
        if (firmware.members === null) continue;
        const wanted = new WantedMembers([firmware]);
        const contents = await readZip(content, {
          archives,
          digestStream,
          algorithmsFor: (member) => wanted.algorithmsFor(member),
        });
        const { outcome } = checkMembers(contents, firmware.members, 'skip');
        if (outcome === 'right') uses.push({ firmware: firmware.id, dump: null });
      }
      return uses;
    } finally {
      await archive.close();
    }
  }

  async #examineMember(
    entry: Entry,
    archive: Archive,
    { index, member }: { readonly index: number; readonly member: ArchiveMember },
  ): Promise<void> {
    const { size, crc32 } = member;
    const couldMatch = this.#index.couldMatch(size, crc32) || this.#members.couldMatch(size, crc32);
    if (member.kind !== 'file' || !couldMatch) return;
    try {
      const found = await this.#input.digestStream(archive.read(member), this.#algorithms);
      this.#add(entry, [{ kind: 'unzip', index, member: member.path }], found, this.#usesOf(found));
    } catch (error) {
      this.#note(entry, error, member.path);
    }
  }

  #add(
    entry: Entry,
    inside: readonly ContainerStep[],
    found: StreamDigests,
    uses: readonly CandidateUse[],
  ): void {
    const memberUses = this.#members
      .find(found)
      .map(({ owner, dump }) => ({ ...owner, dump: dump.label }));
    if (uses.length + memberUses.length === 0) return;
    const origin: Origin = {
      source: this.#input.source,
      path: this.#input.originPath?.(entry.path) ?? entry.path,
      inside,
    };
    this.candidates.push({ origin, remedy: null, ...found, uses, memberUses });
  }

  /** A file that cannot be read is a fault, never the end of the search. */
  #note(entry: Entry, error: unknown, member: string | null = null): void {
    if (!(error instanceof ReadError)) throw error;
    const message = member === null ? error.message : `Member ${member}: ${error.message}`;
    this.#faults.push({ path: entry.path, code: error.code, message });
  }
}

function nameOf(path: string): string {
  return foldCase(baseName(path));
}
