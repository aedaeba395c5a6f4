import { ALGORITHMS, type Algorithm, type StreamDigests } from '../digest/engine.js';
import type { Firmware, Manifest, Member } from '../manifest/model.js';
import { foldCase } from '../text/fold.js';
import { baseName } from '../text/path.js';
import { DumpIndex, DumpLookup, type DumpMatch, type IndexedDump } from './dump-index.js';
import { PILE_LIMITS } from './limits.js';

/** A member an entry wants inside its ZIP. */
export interface WantedMember {
  readonly firmware: Firmware;
  readonly member: Member;
}

/** Everything a manifest has digests of, plain files and ZIP members. */
export class KnownDumps {
  readonly files: DumpIndex;
  readonly members: DumpLookup<WantedMember>;
  readonly algorithms: readonly Algorithm[];
  /** Entries judged by their members. */
  readonly zips: readonly Firmware[];
  private readonly names = new Set<string>();

  constructor(manifest: Manifest) {
    const firmware = [...manifest.firmware.values()];
    this.files = new DumpIndex(firmware);
    this.zips = firmware.filter(({ members }) => members !== null);
    this.members = new DumpLookup(this.zips.flatMap(dumpsOfMembers));
    const used = new Set([...this.files.algorithms, ...this.members.algorithms]);
    this.algorithms = ALGORITHMS.filter((algorithm) => used.has(algorithm));
    for (const { path, members } of firmware) {
      this.names.add(foldCase(baseName(path)));
      for (const member of members ?? []) this.names.add(foldCase(baseName(member.path)));
    }
  }

  /** Whether hashing can tell anything: by size, and for dumps without one by name or moderate size. */
  isWorthHashing(name: string, size: number, crc32?: string): boolean {
    if (!this.files.couldMatch(size, crc32) && !this.members.couldMatch(size, crc32)) return false;
    if (this.files.hasSize(size) || this.members.hasSize(size)) return true;
    return size <= PILE_LIMITS.sizelessBytes || this.names.has(foldCase(baseName(name)));
  }

  /** Entries satisfied by content with these digests. */
  filesOf(found: StreamDigests): DumpMatch[] {
    return this.files.match(found);
  }

  /** Members that content with these digests would be right for. */
  membersOf(found: StreamDigests): WantedMember[] {
    return this.members.find(found).map(({ owner }) => owner);
  }
}

function dumpsOfMembers(firmware: Firmware): IndexedDump<WantedMember>[] {
  return (firmware.members ?? []).flatMap((member) =>
    member.dumps.map((dump) => ({ owner: { firmware, member }, dump })),
  );
}
