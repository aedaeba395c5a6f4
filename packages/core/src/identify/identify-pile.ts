import type { Archive, ArchiveReader } from '../bytes/archive.js';
import { entryAccess } from '../bytes/entry-content.js';
import { ReadError, type Fault, type RandomAccess } from '../bytes/source.js';
import type { DigestBytes } from '../diagnose/proof.js';
import type { DigestStream, StreamDigests } from '../digest/engine.js';
import type { Firmware, Manifest } from '../manifest/model.js';
import { compareUtf8 } from '../text/order.js';
import { sentence } from '../text/sentence.js';
import type { DumpMatch } from '../recognise/dump-index.js';
import { Examiner, type Examination } from './examine.js';
import { looksZipped } from './first-look.js';
import { hashPile, type PileProgress } from './hash-pile.js';
import { KnownDumps, type WantedMember } from '../recognise/known-dumps.js';
import { PILE_LIMITS } from './limits.js';
import { listPile, type PileFile } from './list-pile.js';
import { lookInside, type MemberFinding, type ZipTools } from './look-inside.js';
import type { IdentifiedFile, IdentifiedPile, PileSource, RecognisedAs } from './model.js';
import { NearestEntry } from './nearest-entry.js';
import { systemsByFirmware } from '../manifest/users.js';

export interface IdentifyPileInput {
  readonly sources: readonly PileSource[];
  readonly manifest: Manifest;
  /** Null: ZIP files are taken as plain files. */
  readonly archives: ArchiveReader | null;
  readonly digestStream: DigestStream;
  readonly digestBytes: DigestBytes;
  readonly onProgress?: (progress: PileProgress) => void;
}

/**
 * Tells what each file of a pile is: first by digests, in ZIP files one level
 * deep too, then what is left by undoing damage. Only what can matter by size
 * or name is read, of the rest the first bytes; {@link PILE_LIMITS} states the bounds. Links inside folders
 * are passed over, as what they lead to is met where it lies.
 */
export async function identifyPile(input: IdentifyPileInput): Promise<IdentifiedPile> {
  const identifier = new PileIdentifier(input);
  await identifier.run();
  return identifier.result();
}

class PileIdentifier {
  private readonly input: IdentifyPileInput;
  private readonly known: KnownDumps;
  private readonly nearest: NearestEntry;
  private readonly examiner: Examiner;
  private readonly systems: ReadonlyMap<string, readonly string[]>;
  private readonly rows: IdentifiedFile[] = [];
  private readonly faults: Fault[] = [];
  private membersLeft: number = PILE_LIMITS.listedMembers;

  constructor(input: IdentifyPileInput) {
    this.input = input;
    this.known = new KnownDumps(input.manifest.firmware.values());
    this.nearest = new NearestEntry(input.manifest);
    this.examiner = new Examiner(input.manifest, this.nearest, input.digestBytes, input.archives);
    this.systems = systemsByFirmware(input.manifest.systems.values());
  }

  async run(): Promise<void> {
    const { files, faults } = await listPile(this.input.sources);
    this.faults.push(...faults);
    const digests = await hashPile(files, this.known, this.input.onProgress);
    // One at a time: an examination may hold the whole file in memory.
    for (const file of files) {
      const found = digests.get(file);
      if (found instanceof ReadError) this.fault(file.path, found);
      else await this.identify(file, found ?? null);
    }
  }

  result(): IdentifiedPile {
    const order = (a: IdentifiedFile, b: IdentifiedFile): number =>
      compareUtf8(a.path, b.path) || compareUtf8(a.member ?? '', b.member ?? '');
    return {
      files: this.rows.sort(order),
      faults: this.faults.sort(
        (a, b) => compareUtf8(a.path, b.path) || compareUtf8(a.message, b.message),
      ),
      notExamined: this.examiner.notExamined,
    };
  }

  private async identify(file: PileFile, found: StreamDigests | null): Promise<void> {
    const matches = found === null ? [] : this.known.filesOf(found);
    if (matches.length > 0) {
      this.add(file, { digests: found?.digests ?? null, firmware: this.recognised(matches) });
      return;
    }
    try {
      if ((await this.isZip(file)) && (await this.identifyZip(file, found))) return;
      const wantedBy = found === null ? [] : this.known.membersOf(found);
      const { path, size } = file.entry;
      const content = this.contentOf(file);
      const examination =
        looseMember(wantedBy) ??
        (this.examiner.isFileOfInterest(path, size)
          ? await this.examiner.examine({ name: path, content })
          : null);
      this.add(file, { digests: found?.digests ?? null, ...examination });
    } catch (error) {
      if (!(error instanceof ReadError)) throw error;
      this.fault(file.path, error);
    }
  }

  private async isZip(file: PileFile): Promise<boolean> {
    if (this.input.archives === null) return false;
    const { path } = file.entry;
    const named = this.nearest.named(path).some(({ members }) => members !== null);
    return named || path.toLowerCase().endsWith('.zip') || looksZipped(this.contentOf(file));
  }

  /** False when it is no ZIP that can be opened, and has to be examined as a plain file. */
  private async identifyZip(file: PileFile, found: StreamDigests | null): Promise<boolean> {
    const content = this.contentOf(file);
    const archive = await this.openZip(content);
    if (archive === null) return false;
    try {
      const { known, examiner } = this;
      const tools: ZipTools = { known, examiner, digestStream: this.input.digestStream };
      const inside = await lookInside(archive, tools);
      for (const fault of inside.faults) this.faults.push({ path: file.path, ...fault });
      const whole = {
        digests: found?.digests ?? null,
        firmware: inside.satisfies.map((firmware) => this.recognisedAs(firmware, null)),
      };
      const examination =
        inside.satisfies.length > 0
          ? null
          : await this.examiner.examine({ name: file.entry.path, content, by: 'exact-name' });
      const related = inside.members.filter(isRelated);
      const alone = related.length === 0;
      if (whole.firmware.length > 0 || examination !== null || alone) {
        this.add(file, { ...whole, ...examination });
      }
      if (whole.firmware.length === 0 && !alone) this.addMembers(file, inside.members, examination);
      else
        this.addMembers(
          file,
          related.filter(({ files }) => files.length > 0),
          examination,
        );
      return true;
    } finally {
      await archive.close();
    }
  }

  /** Null when it is no ZIP. */
  private async openZip(content: RandomAccess): Promise<Archive | null> {
    try {
      return (await this.input.archives?.open(content)) ?? null;
    } catch (error) {
      if (error instanceof ReadError && error.code === 'bad-archive') return null;
      throw error;
    }
  }

  private addMembers(
    file: PileFile,
    findings: readonly MemberFinding[],
    container: Examination | null,
  ): void {
    let unlisted = 0;
    for (const finding of findings) {
      const { member, digests, files, wantedBy } = finding;
      // Where the ZIP itself is named as damaged, its members add nothing but what they can be used for.
      if (container !== null && files.length === 0) continue;
      if (!isRelated(finding) && this.membersLeft-- <= 0) {
        unlisted++;
        continue;
      }
      this.add(
        file,
        {
          digests,
          firmware: this.recognised(files),
          ...(files.length > 0 ? null : (looseMember(wantedBy) ?? finding.examination)),
        },
        member,
      );
    }
    if (unlisted > 0) {
      const message = `${unlisted} unrelated members are not listed: there are too many.`;
      this.faults.push({ path: file.path, code: 'limit-exceeded', message });
    }
  }

  private add(
    { source, entry, path }: PileFile,
    found: Partial<Pick<IdentifiedFile, 'digests' | 'firmware'>> & Partial<Examination>,
    member: { readonly path: string; readonly size: number } | null = null,
  ): void {
    this.rows.push({
      source,
      entryPath: entry.path,
      path,
      member: member?.path ?? null,
      size: member?.size ?? entry.size,
      digests: found.digests ?? null,
      firmware: found.firmware ?? [],
      diagnosis: found.diagnosis ?? null,
      nearest: found.nearest ?? null,
      detail: found.detail ?? null,
      advice: found.advice ?? null,
    });
  }

  private contentOf({ source, entry }: PileFile): RandomAccess {
    return entryAccess(source.content, entry);
  }

  private recognised(matches: readonly DumpMatch[]): RecognisedAs[] {
    return matches.map(({ firmware, dump }) => this.recognisedAs(firmware, dump.label));
  }

  private recognisedAs({ id }: Firmware, dump: string | null): RecognisedAs {
    return { id, dump, systems: this.systems.get(id) ?? [] };
  }

  private fault(path: string, error: ReadError): void {
    this.faults.push({ path, code: error.code, message: sentence(error.message) });
  }
}

function isRelated({ files, wantedBy, examination }: MemberFinding): boolean {
  return files.length > 0 || wantedBy.length > 0 || examination !== null;
}

/** Right bytes for inside a ZIP, but not, or not yet, in it. */
function looseMember(wantedBy: readonly WantedMember[]): Examination | null {
  const first = wantedBy[0];
  if (first === undefined) return null;
  const { firmware, member } = first;
  return {
    diagnosis: null,
    nearest: firmware.id,
    detail: `It is the member "${member.path}" of ${firmware.id}.`,
    advice: `Put it into a ZIP with the other members of ${firmware.id}.`,
  };
}
