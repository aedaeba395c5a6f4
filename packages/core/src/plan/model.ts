import type { Remedy } from '../diagnose/diagnosis.js';
import type { Digests } from '../bytes/digests.js';
import type { Origin } from '../recognise/origin.js';
import type { PlanOutcome } from './after.js';
import type { PlanProblem } from '../facts/plan-problem.js';
import type { ToGetRow } from './to-get.js';

/** A file that stands where another belongs, and where it is kept. */
export interface KeptFile {
  /** On the card, before. */
  readonly path: string;
  /** On the card, after; below `firmtally-kept/`. */
  readonly to: string;
  /** Bytes. */
  readonly size: number;
  /** The firmware that takes its place. */
  readonly firmware: string;
}

interface StepBase {
  /** Id of the firmware it is for; the first of them when several share the file. */
  readonly firmware: string;
  /** '/'-joined, on the card. */
  readonly to: string;
  /** Bytes written or respelled; 0 for a folder. */
  readonly size: number;
  /** New clusters the file takes; 0 for a letter case that changes. */
  readonly clusters: number;
}

interface Written extends StepBase {
  readonly from: Origin;
  /** Label of the dump placed; null for a ZIP judged by its members. */
  readonly dump: string | null;
  /** Of exactly the bytes that will stand at `to`. */
  readonly digests: Digests;
}

/** Writes the bytes of a file of the pile, or of another file on the card. */
export interface CopyStep extends Written {
  readonly kind: 'copy';
}

/** Writes the bytes of a member of a ZIP, which may be in a ZIP itself. */
export interface ExtractStep extends Written {
  readonly kind: 'extract';
}

/** Writes what a proven remedy makes of the damaged file at `from`. */
export interface RepairStep extends Written {
  readonly kind: 'repair';
  readonly remedy: Remedy;
}

/** One member of a ZIP to be written. */
export interface PackedMember {
  /** Its path in the new ZIP. */
  readonly path: string;
  readonly from: Origin;
  /** How the bytes at `from` are turned into the member's; null when they are it. */
  readonly remedy: Remedy | null;
  /** Label of the dump it is. */
  readonly dump: string;
  /** Bytes. */
  readonly size: number;
  /** Of the member's bytes. */
  readonly digests: Digests;
}

/** Writes a ZIP of members found loose or in other ZIPs, each under the path wanted; always the same bytes. */
export interface PackStep extends StepBase {
  readonly kind: 'pack';
  /** In the order they stand in the ZIP; each is checked in the ZIP that was written. */
  readonly members: readonly PackedMember[];
}

/** Gives a file on the card the letter case that is expected. */
export interface CaseFixStep extends StepBase {
  readonly kind: 'case-fix';
  readonly entry: 'file';
  readonly from: Origin;
  /** Label of the dump it is; null for a ZIP judged by its members, or a file of which the manifest gives no digests. */
  readonly dump: string | null;
  /** Of the file. */
  readonly digests: Digests;
}

/** The same for a folder, with all that is in it. */
export interface FolderCaseFixStep extends StepBase {
  readonly kind: 'case-fix';
  readonly entry: 'folder';
  readonly from: Origin;
}

/** One thing to do, in the order of the plan. */
export type Step = CopyStep | ExtractStep | RepairStep | PackStep | CaseFixStep | FolderCaseFixStep;

/** What a step does. */
export type StepKind = Step['kind'];

/** Room the plan takes on the card, at its fullest moment. */
export interface PlanSpace {
  /** Bytes: whole clusters of new files and new folders. Kept files stay on the card and free nothing. */
  readonly needed: number;
  /** The same in clusters. */
  readonly clusters: number;
  /** Bytes of one cluster. */
  readonly clusterSize: number;
  /** Bytes free on the card; null when it does not say. */
  readonly free: number | null;
}

/** What to do to a card so that the selection becomes ready. Same input, same plan. */
export interface Plan {
  readonly steps: readonly Step[];
  /** In the order of the steps that need them moved. */
  readonly kept: readonly KeptFile[];
  /** What neither the card nor the pile can provide. */
  readonly toGet: readonly ToGetRow[];
  readonly problems: readonly PlanProblem[];
  readonly space: PlanSpace;
  /** Whether the card has the room that the steps take; null when it does not say how much it has. */
  readonly fits: boolean | null;
  readonly after: PlanOutcome;
}
