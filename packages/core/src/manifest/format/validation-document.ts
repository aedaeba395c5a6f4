import { TOOL } from '../../version.js';
import { isPresenceOnly, isSizeOnly, type Dump, type Firmware, type Manifest } from '../model.js';
import type { Problem, RelatedLocation, Severity } from '../problem.js';

/** What manifests without errors hold together. */
export interface ManifestHoldings {
  readonly systems: number;
  readonly firmware: number;
  /** Firmware that nothing can be proven of: without dumps, or with one that gives only a size. */
  readonly withoutDigest: number;
  readonly loadouts: number;
}

/** A manifest that could not be read. */
export interface ValidationFault {
  readonly path: string;
  readonly code: string;
  /** One plain sentence, without the path. */
  readonly message: string;
}

/** `validate --format json`; data-schemas/validation.schema.json describes it. */
export interface ValidationDocument {
  readonly validation: 1;
  readonly tool: { readonly name: string; readonly version: string };
  /** Null when there is an error, or a file that could not be read. */
  readonly holds: ManifestHoldings | null;
  readonly problems: readonly {
    readonly rule: string;
    readonly severity: Severity;
    readonly message: string;
    readonly file: string;
    readonly line: number;
    readonly column: number;
    readonly endLine: number;
    readonly endColumn: number;
    readonly pointer: string;
    /** What to write instead. */
    readonly suggestion: string | null;
    /** What to do, in words. */
    readonly advice: string | null;
    readonly related: readonly RelatedLocation[];
  }[];
  readonly faults: readonly ValidationFault[];
}

/** What a validation document is made of. */
export interface ValidationResult {
  /** Null when a problem is an error. */
  readonly manifest: Manifest | null;
  readonly problems: readonly Problem[];
  /** The files that could not be read. */
  readonly faults?: readonly ValidationFault[];
}

/**
 * The result of reading manifests as the JSON document that data-schemas/validation.schema.json describes.
 *
 * @example
 * const read = await readManifests([{ path: 'tern.yaml', bytes }]);
 * validationDocument({ ...read, faults: [] }).problems; // => []
 */
export function validationDocument({
  manifest,
  problems,
  faults = [],
}: ValidationResult): ValidationDocument {
  return {
    validation: 1,
    tool: TOOL,
    holds: manifest === null || faults.length > 0 ? null : manifestHoldings(manifest),
    problems: [...problems],
    faults: [...faults],
  };
}

/** Counts what a manifest holds. */
export function manifestHoldings({ systems, firmware, loadouts }: Manifest): ManifestHoldings {
  return {
    systems: systems.size,
    firmware: firmware.size,
    withoutDigest: [...firmware.values()].filter(isUnprovable).length,
    loadouts: loadouts.size,
  };
}

function isUnprovable(firmware: Firmware): boolean {
  if (isPresenceOnly(firmware)) return true;
  return [firmware, ...(firmware.members ?? [])].some(({ dumps }: { dumps: readonly Dump[] }) =>
    dumps.some(isSizeOnly),
  );
}
