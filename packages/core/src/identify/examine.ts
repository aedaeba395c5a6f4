import type { ArchiveReader } from '../bytes/archive.js';
import type { RandomAccess } from '../bytes/source.js';
import { adviceForDiagnosis } from '../diagnose/advice.js';
import { diagnoseFile } from '../diagnose/diagnose-file.js';
import { DIAGNOSIS_LIMITS } from '../diagnose/limits.js';
import type { Diagnosis } from '../diagnose/diagnosis.js';
import type { DigestBytes } from '../diagnose/proof.js';
import { KnownDumps } from '../recognise/known-dumps.js';
import { readRange } from '../bytes/collect.js';
import { isPresenceOnly, type Firmware, type Manifest } from '../manifest/model.js';
import { PILE_LIMITS } from './limits.js';
import { looksGzippedOrDoubled } from './first-look.js';
import type { NearestEntry, Probe } from './nearest-entry.js';

/** What unrecognised content has to do with an entry. */
export interface Examination {
  readonly diagnosis: Diagnosis | null;
  readonly nearest: string;
  readonly detail: string;
  readonly advice: string;
}

export interface Unrecognised {
  /** Path; only its last name matters. */
  readonly name: string;
  readonly content: RandomAccess;
  /** Neither names that are only like an entry's nor the size count. */
  readonly by?: 'exact-name';
}

const GZIP_NAME = /\.gz(?:ip)?$/iu;

/** Diagnoses what digests did not recognise, within the bounds of {@link PILE_LIMITS}. */
export class Examiner {
  /** What the bounds left unexamined. */
  notExamined = 0;
  /** Tries that the bounds did not allow, several for one file perhaps. */
  private skipped = 0;
  private byNameLeft: number = PILE_LIMITS.examinedByName;
  private bySizeLeft: number = PILE_LIMITS.examinedBySize;
  private bytesLeft: number = PILE_LIMITS.examinedBytes;
  private readonly known: KnownDumps;
  private readonly nearest: NearestEntry;
  private readonly digestBytes: DigestBytes;
  private readonly archives: ArchiveReader | null;

  constructor(
    manifest: Manifest,
    nearest: NearestEntry,
    digestBytes: DigestBytes,
    archives: ArchiveReader | null,
  ) {
    this.known = new KnownDumps(manifest.firmware.values());
    this.nearest = nearest;
    this.digestBytes = digestBytes;
    this.archives = archives;
  }

  /** Whether examining content of this name and size can find anything; asked before it is read. */
  isOfInterest(name: string, size: number): boolean {
    if (this.nearest.namedLike(name).length > 0) return true;
    if (this.nearest.namedButForEnding(name).length > 0) return true;
    if (!GZIP_NAME.test(name) && this.nearest.ofSize(size) === null) return false;
    if (this.isWithinBounds(size)) return true;
    this.notExamined++;
    return false;
  }

  /** The same for a file that can be read in parts: its first bytes alone may speak for a dump without a size. */
  isFileOfInterest(name: string, size: number): boolean {
    const maybeSizeless = this.nearest.sizeless !== null && size <= DIAGNOSIS_LIMITS.wholeFileBytes;
    return maybeSizeless || this.isOfInterest(name, size);
  }

  /** Null when it has nothing to do with the manifest. Throws ReadError. */
  async examine(file: Unrecognised): Promise<Examination | null> {
    const before = this.skipped;
    const found = await this.examineInTurn(file);
    if (this.skipped > before && found?.diagnosis?.proven !== true) this.notExamined++;
    return found;
  }

  private async examineInTurn(file: Unrecognised): Promise<Examination | null> {
    const named =
      file.by === 'exact-name' ? this.nearest.named(file.name) : this.nearest.namedLike(file.name);
    const byName = await this.byName(file, named);
    if (byName?.diagnosis?.proven === true || file.by === 'exact-name') return byName;
    return (
      (await this.bySize(file)) ??
      (await this.byStem(file)) ??
      (await this.sizeless(file)) ??
      byName
    );
  }

  private async byName(
    file: Unrecognised,
    named: readonly Firmware[],
  ): Promise<Examination | null> {
    let first: Examination | null = null;
    for (const firmware of named) {
      if (isPresenceOnly(firmware)) {
        first ??= byNameOnly(firmware);
        continue;
      }
      if (this.byNameLeft-- <= 0) {
        this.skipped++;
        return first;
      }
      const diagnosis = await this.diagnose(file.content, firmware, this.known);
      const found = examinationOf(diagnosis, firmware);
      if (diagnosis.proven) return found;
      first ??= found;
    }
    return first;
  }

  private async byStem({ name, content }: Unrecognised): Promise<Examination | null> {
    for (const firmware of this.nearest.namedButForEnding(name)) {
      if (!this.mayExamine(content.size)) return null;
      this.bySizeLeft--;
      this.bytesLeft -= content.size;
      const diagnosis = await this.diagnose(content, firmware, null);
      if (diagnosis.firmware !== null) return examinationOf(diagnosis, firmware);
    }
    return null;
  }

  private async bySize({ name, content }: Unrecognised): Promise<Examination | null> {
    if (content.size > DIAGNOSIS_LIMITS.wholeFileBytes) return null;
    const size = GZIP_NAME.test(name) ? await inflatedSize(content) : content.size;
    const near = this.nearest.ofSize(size);
    return near === null ? null : this.byProbe(content, near);
  }

  private async sizeless({ content }: Unrecognised): Promise<Examination | null> {
    const { sizeless } = this.nearest;
    if (sizeless === null || content.size > DIAGNOSIS_LIMITS.wholeFileBytes) return null;
    return (await looksGzippedOrDoubled(content)) ? this.byProbe(content, sizeless) : null;
  }

  private async byProbe(content: RandomAccess, near: Probe): Promise<Examination | null> {
    if (!this.mayExamine(content.size)) return null;
    this.bySizeLeft--;
    this.bytesLeft -= content.size;
    const diagnosis = await this.diagnose(content, near.probe, null);
    // A blank file or a web page is no entry's because its size happens to fit.
    if (!diagnosis.proven || diagnosis.dump === null) return null;
    const { firmware, dump } = near.behind(diagnosis.dump);
    return examinationOf({ ...diagnosis, firmware: firmware.id, dump: dump.label }, firmware);
  }

  private mayExamine(size: number): boolean {
    const may = this.isWithinBounds(size);
    if (!may) this.skipped++;
    return may;
  }

  private isWithinBounds(size: number): boolean {
    return this.bySizeLeft > 0 && size <= this.bytesLeft;
  }

  private diagnose(
    content: RandomAccess,
    firmware: Firmware,
    known: KnownDumps | null,
  ): Promise<Diagnosis> {
    const { digestBytes, archives } = this;
    return diagnoseFile({ content, firmware, known, digestBytes, archives });
  }
}

function examinationOf(diagnosis: Diagnosis, firmware: Firmware): Examination {
  const isUnexplained = diagnosis.kind === 'unknown' && firmware.members === null;
  return {
    diagnosis,
    nearest: firmware.id,
    detail: diagnosis.facts.map(({ text }) => text).join(' '),
    advice: isUnexplained ? LOOSE_UNKNOWN : adviceForDiagnosis(diagnosis, firmware).text,
  };
}

/** A file in a pile belongs to nothing yet, so that it is unknown need not mean that anything is wrong with it. */
const LOOSE_UNKNOWN =
  'It is not a dump that the manifests know: look whether it is another revision, or leave it.';

function byNameOnly(firmware: Firmware): Examination {
  return {
    diagnosis: null,
    nearest: firmware.id,
    detail: 'It has the name, but the manifest gives no digest to tell by.',
    advice: `Add the digests of a copy that works to ${firmware.id}, e.g. with \`firmtally digest\`.`,
  };
}

/** ISIZE, the last four bytes of a gzip member (RFC 1952, 2.3.1): the size before compression, modulo 2^32. */
async function inflatedSize(content: RandomAccess): Promise<number> {
  if (content.size < 18) return content.size;
  const tail = await readRange(content, { start: content.size - 4, end: content.size });
  return new DataView(tail.buffer, tail.byteOffset).getUint32(0, true);
}
