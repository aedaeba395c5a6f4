import type { Fault } from '../bytes/source.js';
import type { DiagnosisKind } from '../diagnose/diagnosis.js';
import type { Digests } from '../bytes/digests.js';
import type { Advice } from '../facts/advice-values.js';
import type { Fact } from '../facts/fact-values.js';
import type { Hint } from '../facts/hint.js';
import type { SystemRow } from '../judge/readiness.js';
import type { Readiness, Verdict } from '../judge/verdict.js';
import type { ManifestSource } from '../manifest/model.js';
import type { ToGetRow } from '../plan/to-get.js';
import type { Expected } from './expected.js';

/** The audit as data; data-schemas/report.schema.json describes it. Same input, same bytes: no timestamps, arrays sorted. */
export interface Report {
  readonly report: 1;
  readonly tool: { readonly name: string; readonly version: string };
  /** As the caller gave it, with '/' separators. */
  readonly root: string;
  readonly manifests: readonly ManifestSource[];
  readonly selection: {
    readonly systems: readonly string[];
    readonly loadout: string | null;
    /** What the manifest calls the loadout; null when there is none, or it has no name. */
    readonly loadoutName: string | null;
  };
  readonly systems: readonly SystemRow[];
  readonly firmware: readonly FirmwareRow[];
  readonly toGet: readonly ToGetRow[];
  readonly hints: readonly Hint[];
  /** Filled only when strays were asked for. */
  readonly strays: readonly Stray[];
  readonly faults: readonly Fault[];
  readonly totals: Totals;
  /** Present only when an earlier report was compared. */
  readonly since?: Comparison;
}

/** One firmware entry of a report. */
export interface FirmwareRow {
  readonly id: string;
  readonly verdict: Verdict;
  readonly expectedPath: string;
  readonly foundAt: string | null;
  /** The file whose `size` and `digests` these are. */
  readonly judged: string | null;
  readonly size: number | null;
  readonly digests: Digests | null;
  readonly dump: string | null;
  readonly expected: Expected;
  readonly diagnosis: DiagnosisKind | null;
  /** Further facts. */
  readonly facts: readonly Fact[];
  /** What to do; null when nothing is needed. */
  readonly advice: Advice | null;
  /** What the manifest says to people about it. */
  readonly note: string | null;
  /** Systems that name it, in id order. */
  readonly systems: readonly string[];
}

/** By firmware id. */
export type Rows = ReadonlyMap<string, FirmwareRow>;

/**
 * A readable file in or below a folder that holds an expected path, which
 * nothing in the manifests accounts for: no entry expects or found it there,
 * and no folder check counts it or takes it for a picture.
 */
export interface Stray {
  readonly path: string;
  readonly size: number;
}

/** How many systems and firmware there are of each kind. */
export interface Totals {
  readonly systems: Readonly<Record<Readiness, number>>;
  readonly firmware: Readonly<Record<Verdict, number>>;
}

/** A firmware whose verdict changed. */
export interface VerdictChange {
  readonly firmware: string;
  readonly before: Verdict;
  readonly now: Verdict;
}

/** A file whose bytes are not those of the earlier report. */
export interface ByteChange {
  readonly firmware: string;
  readonly path: string;
  /** Bytes. */
  readonly sizeBefore: number;
  /** Bytes. */
  readonly size: number;
  /** The size is the same and the modification time no later than the earlier report's, so nobody meant to change it: the card may be failing. */
  readonly silently: boolean;
}

/** A system whose readiness changed. */
export interface ReadinessChange {
  readonly system: string;
  readonly before: Readiness;
  readonly now: Readiness;
}

/** What changed since an earlier report. Lists are in id order. */
export interface Comparison {
  readonly newlyWrong: readonly VerdictChange[];
  readonly newlyRight: readonly VerdictChange[];
  /** Another verdict, but as right or as wrong as before. */
  readonly otherwise: readonly VerdictChange[];
  /** How many firmware have the verdict they had. */
  readonly unchanged: number;
  readonly changedBytes: readonly ByteChange[];
  /** Ids that the earlier report does not have, for another manifest or selection. */
  readonly appeared: readonly string[];
  /** Ids that only the earlier report has. */
  readonly gone: readonly string[];
  /** Systems of both reports whose readiness is another. */
  readonly systems: readonly ReadinessChange[];
  /** What to do before all else; null when no bytes changed silently. */
  readonly advice: Advice<'save-card'> | null;
}
