import type { Fault } from '../bytes/source.js';
import type { DiagnosisKind } from '../diagnose/diagnosis.js';
import type { Digests } from '../digest/engine.js';
import type { SystemRow } from '../judge/readiness.js';
import type { Readiness, Verdict } from '../judge/verdict.js';
import type { ManifestSource } from '../manifest/model.js';
import type { Comparison } from './compare.js';

/** The audit as data; data-schemas/report.schema.json describes it. Same input, same bytes: no timestamps, arrays sorted. */
export interface Report {
  readonly report: 1;
  readonly tool: { readonly name: string; readonly version: string };
  /** As the caller gave it, with '/' separators. */
  readonly root: string;
  readonly manifests: readonly ManifestSource[];
  readonly selection: { readonly systems: readonly string[]; readonly loadout: string | null };
  readonly systems: readonly SystemRow[];
  readonly firmware: readonly FirmwareRow[];
  /** Filled only when strays were asked for. */
  readonly strays: readonly Stray[];
  readonly faults: readonly Fault[];
  readonly totals: Totals;
  /** Present only when an earlier report was compared. */
  readonly since?: Comparison;
}

export interface FirmwareRow {
  readonly id: string;
  readonly verdict: Verdict;
  readonly expectedPath: string;
  readonly foundAt: string | null;
  readonly dump: string | null;
  readonly size: number | null;
  readonly digests: Digests | null;
  readonly diagnosis: DiagnosisKind | null;
  /** One plain sentence saying what to do; null when nothing is needed. */
  readonly advice: string | null;
  /** Further facts, one plain sentence each. */
  readonly detail: readonly string[];
  /** Systems that name it, in id order. */
  readonly systems: readonly string[];
}

/**
 * A readable file in or below a folder that holds an expected path, which
 * nothing in the manifests accounts for: no entry expects or found it there,
 * and no folder check counts it or takes it for a picture.
 */
export interface Stray {
  readonly path: string;
  readonly size: number;
}

export interface Totals {
  readonly systems: Readonly<Record<Readiness, number>>;
  readonly firmware: Readonly<Record<Verdict, number>>;
}
