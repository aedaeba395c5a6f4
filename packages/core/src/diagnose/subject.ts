import { readRange } from '../bytes/collect.js';
import { memoryAccess } from '../bytes/memory.js';
import type { RandomAccess } from '../bytes/source.js';
import type { Algorithm, StreamDigests } from '../bytes/digests.js';
import type { Platform } from '../digest/engine.js';
import { digestBytes } from '../digest/stream.js';
import type { Fact } from '../facts/fact-values.js';
import type { Dump, Firmware } from '../manifest/model.js';
import type { KnownDumps } from '../recognise/known-dumps.js';
import type { DiagnosisKind, Remedy, Restored, SelfEvident, Unproven } from './diagnosis.js';
import type { Diagnosis } from './diagnosis.js';
import type { DiagnosisLimits } from './limits.js';
import { Budget, Prover } from './proof.js';

/** What a diagnosis is made from. */
export interface SubjectInput {
  readonly content: RandomAccess;
  /** Of the content, when it was hashed already. */
  readonly found: StreamDigests | null;
  readonly firmware: Firmware;
  /** Everything that is known of other entries; null: nothing. */
  readonly known: KnownDumps | null;
  readonly platform: Platform;
  readonly limits: DiagnosisLimits;
  /** Shared by everything tried on one file; a new one by default. */
  readonly budget?: Budget;
  /** How many containers the content was taken out of. */
  readonly depth?: number;
}

/** One file under examination, with its bytes read only when a detector asks for them. */
export class Subject {
  readonly content: RandomAccess;
  readonly firmware: Firmware;
  readonly known: KnownDumps | null;
  readonly platform: Platform;
  readonly limits: DiagnosisLimits;
  readonly budget: Budget;
  readonly depth: number;
  /** Tests guesses against the entry's dumps. */
  readonly prover: Prover;
  #found: StreamDigests | null;
  #head: Promise<Uint8Array> | null = null;
  #whole: Promise<Uint8Array> | null = null;

  constructor(input: SubjectInput) {
    this.content = input.content;
    this.firmware = input.firmware;
    this.known = input.known;
    this.platform = input.platform;
    this.limits = input.limits;
    this.budget = input.budget ?? new Budget(input.limits);
    this.depth = input.depth ?? 0;
    this.prover = new Prover(input.firmware.dumps, this.budget, input.platform.engine);
    this.#found = input.found;
  }

  /** Bytes. */
  get size(): number {
    return this.content.size;
  }

  /** What every byte is, where the reading that took the digests has seen it. */
  get fill(): number | undefined {
    return this.#found?.fill;
  }

  /** The first `headBytes` bytes. */
  head(): Promise<Uint8Array> {
    this.#head ??= readRange(this.content, { start: 0, end: this.limits.headBytes });
    return this.#head;
  }

  /** Every byte; null when there are more than `wholeFileBytes`. Do not change them. */
  async whole(): Promise<Uint8Array | null> {
    if (this.size > this.limits.wholeFileBytes) return null;
    this.#whole ??= readRange(this.content, { start: 0, end: this.size });
    return this.#whole;
  }

  /** Digests of the content, those taken already where they do; null when that would take too long. */
  async digests(algorithms: readonly Algorithm[]): Promise<StreamDigests | null> {
    const before = this.#found;
    const missing = algorithms.filter((each) => before?.digests[each] === undefined);
    if (before !== null && missing.length === 0) return before;
    const bytes = await this.whole();
    if (bytes === null || !this.budget.take(bytes.length)) return null;
    const digests = await digestBytes(bytes, missing, this.platform.engine);
    this.#found = { ...before, size: bytes.length, digests: { ...before?.digests, ...digests } };
    return this.#found;
  }

  /** The same examination of what was found inside, within what is left of the bounds. */
  within(bytes: Uint8Array, firmware: Firmware = this.firmware): Subject {
    return new Subject({
      content: memoryAccess(bytes),
      found: null,
      firmware,
      known: this.known,
      platform: this.platform,
      limits: this.limits,
      budget: this.budget,
      depth: this.depth + 1,
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

/** A check whose finding can be undone. */
export interface DamageDetector extends DetectorInfo {
  detect(subject: Subject): Promise<Restored | null>;
}

/** A diagnosis that undoing the damage has proven. */
export function restored(
  subject: Subject,
  kind: Restored['kind'],
  dump: Dump | null,
  remedy: Remedy,
  ...facts: readonly Fact[]
): Restored {
  const { id } = subject.firmware;
  return { kind, proven: true, firmware: id, dump: dump?.label ?? null, remedy, facts };
}

/** What the bytes themselves say. */
export function evident(kind: SelfEvident['kind'], ...facts: readonly Fact[]): SelfEvident {
  return { kind, proven: true, firmware: null, dump: null, remedy: null, facts };
}

/** Nothing better was found. */
export function unproven(kind: Unproven['kind'], ...facts: readonly Fact[]): Unproven {
  return { kind, proven: false, firmware: null, dump: null, remedy: null, facts };
}
