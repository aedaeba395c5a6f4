import type { ArchiveReader } from '../bytes/archive.js';
import { memoryAccess } from '../bytes/memory.js';
import type { RandomAccess } from '../bytes/source.js';
import type { Dump, Firmware, Manifest } from '../manifest/model.js';
import { readRange } from '../bytes/collect.js';
import type { Diagnosis, DiagnosisKind, Remedy } from './diagnosis.js';
import type { DiagnosisLimits } from './limits.js';
import { HashBudget, Prover, type DigestBytes } from './proof.js';

/** What a diagnosis is made from. */
export interface SubjectInput {
  readonly content: RandomAccess;
  readonly firmware: Firmware;
  readonly manifest: Manifest;
  readonly digestBytes: DigestBytes;
  readonly archives: ArchiveReader | null;
  readonly limits: DiagnosisLimits;
  /** Shared by everything tried on one file; a new one by default. */
  readonly budget?: HashBudget;
}

/** One file under examination, with its bytes read only when a detector asks for them. */
export class Subject {
  readonly content: RandomAccess;
  readonly firmware: Firmware;
  readonly manifest: Manifest;
  readonly archives: ArchiveReader | null;
  readonly limits: DiagnosisLimits;
  readonly digestBytes: DigestBytes;
  readonly budget: HashBudget;
  /** Tests guesses against the entry's dumps. */
  readonly prover: Prover;
  private headBytes: Promise<Uint8Array> | null = null;
  private allBytes: Promise<Uint8Array> | null = null;

  constructor(input: SubjectInput) {
    this.content = input.content;
    this.firmware = input.firmware;
    this.manifest = input.manifest;
    this.archives = input.archives;
    this.limits = input.limits;
    this.digestBytes = input.digestBytes;
    this.budget = input.budget ?? new HashBudget(input.limits);
    this.prover = new Prover(input.firmware.dumps, this.budget, input.digestBytes);
  }

  /** Bytes. */
  get size(): number {
    return this.content.size;
  }

  /** The first `headBytes` bytes. */
  head(): Promise<Uint8Array> {
    this.headBytes ??= readRange(this.content, { start: 0, end: this.limits.headBytes });
    return this.headBytes;
  }

  /** Every byte; null when there are more than `wholeFileBytes`. Do not change them. */
  async whole(): Promise<Uint8Array | null> {
    if (this.size > this.limits.wholeFileBytes) return null;
    this.allBytes ??= readRange(this.content, { start: 0, end: this.size });
    return this.allBytes;
  }

  /** The same examination of other bytes, within what is left of the bounds. */
  within(bytes: Uint8Array, firmware: Firmware = this.firmware): Subject {
    return new Subject({
      content: memoryAccess(bytes),
      firmware,
      manifest: this.manifest,
      digestBytes: this.digestBytes,
      archives: this.archives,
      limits: this.limits,
      budget: this.budget,
    });
  }
}

/** What a check is called and what it looks for. */
export interface DetectorInfo {
  readonly name: DiagnosisKind;
  /** One plain sentence. */
  readonly description: string;
}

/** A check for one kind of damage. */
export interface Detector extends DetectorInfo {
  /** Null when the file does not have this damage, or the bounds do not let it be shown. */
  detect(subject: Subject): Promise<Diagnosis | null>;
}

/** A diagnosis that undoing the damage has proven. */
export function restored(
  subject: Subject,
  kind: DiagnosisKind,
  dump: Dump,
  remedy: Remedy,
  detail: string,
): Diagnosis {
  return { kind, proven: true, firmware: subject.firmware.id, dump: dump.label, remedy, detail };
}

/** A diagnosis that names no dump: the bytes themselves say it (`proven`), or nothing better was found. */
export function observed(kind: DiagnosisKind, proven: boolean, detail: string): Diagnosis {
  return { kind, proven, firmware: null, dump: null, remedy: null, detail };
}

/** `1 byte`, `2 bytes`. */
export function countBytes(count: number): string {
  return count === 1 ? '1 byte' : `${count} bytes`;
}
