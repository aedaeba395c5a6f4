import { ALGORITHMS, type Algorithm, type StreamDigests } from '../bytes/digests.js';
import type { Dump, Firmware, Member } from '../manifest/model.js';
import { addTo } from '../collections.js';
import { foldCase } from '../text/fold.js';
import { compareUtf8 } from '../text/order.js';
import { baseName } from '../text/path.js';
import { DumpIndex, DumpLookup, type DumpMatch, type IndexedDump } from './dump-index.js';
import { RECOGNISE_LIMITS } from './limits.js';
import { checkMembers, WantedMembers, type ZipContents } from './members.js';

/** A member an entry wants inside its ZIP. */
export interface WantedMember {
  readonly firmware: Firmware;
  readonly member: Member;
}

/** A member, and the dump of it that some bytes are. */
export interface MatchedMember extends WantedMember {
  readonly dump: Dump;
}

/** Everything that firmware entries have digests of, plain files and ZIP members, indexed once. */
export class KnownDumps {
  readonly files: DumpIndex;
  readonly members: DumpLookup<WantedMember>;
  /** Every algorithm that some dump needs. */
  readonly algorithms: readonly Algorithm[];
  /** By the paths of the members that entries want. */
  readonly wantedMembers: WantedMembers;
  /** Entries judged by their members. */
  readonly zips: readonly Firmware[];
  readonly #names = new Set<string>();
  readonly #zipNames: ReadonlySet<string>;
  /** ZIP entries by the first member they want, so that few are tried on a ZIP. */
  readonly #zips = new Map<string, Firmware[]>();

  constructor(firmware: Iterable<Firmware>) {
    const all = [...firmware];
    const zips = all.filter(({ members }) => members !== null);
    this.zips = zips;
    this.#zipNames = new Set(zips.map(({ path }) => foldCase(baseName(path))));
    this.files = new DumpIndex(all);
    this.members = new DumpLookup(dumpsOfMembers(zips));
    this.wantedMembers = new WantedMembers(zips);
    const used = new Set([...this.files.algorithms, ...this.members.algorithms]);
    this.algorithms = ALGORITHMS.filter((algorithm) => used.has(algorithm));
    for (const { path, members } of all) {
      this.#names.add(foldCase(baseName(path)));
      for (const member of members ?? []) this.#names.add(foldCase(baseName(member.path)));
    }
    for (const each of zips) {
      const first = each.members?.[0];
      if (first !== undefined) addTo(this.#zips, first.path.normalize('NFC'), each);
    }
  }

  /** Whether some dump, of a file or of a member, gives exactly this size. */
  hasSize(size: number): boolean {
    return this.files.hasSize(size) || this.members.hasSize(size);
  }

  /** Whether a ZIP entry has this name, whatever its letter case. */
  isZipName(path: string): boolean {
    return this.#zipNames.has(foldCase(baseName(path)));
  }

  /** Whether hashing can tell anything: by size, and for dumps without one by name or moderate size. */
  isWorthHashing(name: string, size: number, crc32?: string): boolean {
    if (!this.files.couldMatch(size, crc32) && !this.members.couldMatch(size, crc32)) return false;
    if (this.hasSize(size)) return true;
    return size <= RECOGNISE_LIMITS.sizelessBytes || this.#names.has(foldCase(baseName(name)));
  }

  /** Entries satisfied by content with these digests. */
  filesOf(found: StreamDigests): DumpMatch[] {
    return this.files.match(found);
  }

  /** Members that content with these digests would be right for. */
  membersOf(found: StreamDigests): MatchedMember[] {
    return this.members.find(found).map(({ owner, dump }) => ({ ...owner, dump }));
  }

  /** Entries all of whose members a ZIP has, in id order. A member that could not be read is not right. */
  zipsOf(contents: ZipContents): Firmware[] {
    const found: Firmware[] = [];
    for (const path of new Set(contents.files.map((file) => file.path.normalize('NFC')))) {
      for (const firmware of this.#zips.get(path) ?? []) {
        const { members } = firmware;
        if (members !== null && checkMembers(contents, members, 'skip').outcome === 'right') {
          found.push(firmware);
        }
      }
    }
    return found.sort((a, b) => compareUtf8(a.id, b.id));
  }
}

function* dumpsOfMembers(zips: readonly Firmware[]): Generator<IndexedDump<WantedMember>> {
  for (const firmware of zips) {
    for (const member of firmware.members ?? []) {
      for (const dump of member.dumps) yield { owner: { firmware, member }, dump };
    }
  }
}
