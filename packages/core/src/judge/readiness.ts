import type { Listing } from '../inventory/inventory.js';
import type { Requirement, System } from '../manifest/model.js';
import type { Selection } from '../manifest/selection.js';
import { checkFolder, type FolderRow } from './folder-check.js';
import { Obstacles } from './obstacles.js';
import type { FirmwareVerdict, Readiness } from './verdict.js';

/** How readiness is judged. */
export interface ReadinessOptions {
  /** A system that would be `unproven` is `not-ready`. */
  readonly strict?: boolean | undefined;
}

/**
 * How well something is provided for, worst first. `proven`: the bytes are
 * right and where they belong. `unproven`: nothing is wrong, but nothing proves
 * the bytes either. `lacking`: anything else.
 */
export const MET = ['lacking', 'unproven', 'proven'] as const;
/** How well something is provided for. */
export type Met = (typeof MET)[number];

/** One thing that a system requires, and how well the best of its firmware provides it. */
export type RequirementRow =
  | { readonly firmware: string; readonly met: Met }
  | {
      readonly anyOf: readonly string[];
      /** The first in listed order that is `proven`. */
      readonly satisfiedBy: string | null;
      readonly met: Met;
    };

/** What can be said of one system. */
export interface SystemRow {
  readonly id: string;
  readonly name: string;
  readonly readiness: Readiness;
  readonly requires: readonly RequirementRow[];
  /** How many of its optional firmware are `proven`, of how many. */
  readonly optional: { readonly match: number; readonly total: number };
  readonly optionalFirmware: readonly { readonly firmware: string; readonly met: Met }[];
  readonly folders: readonly FolderRow[];
}

/** The readiness of every selected system, in the selection's order. */
export function judgeReadiness(
  selection: Selection,
  verdicts: readonly FirmwareVerdict[],
  inventory: Listing,
  options: ReadinessOptions = {},
): SystemRow[] {
  const byId = new Map(verdicts.map((verdict) => [verdict.id, verdict]));
  const obstacles = new Obstacles(inventory);
  return selection.systems.map((system) => {
    const met = (id: string): Met => metBy(byId.get(id), system);
    const folders = system.folders.map((check) =>
      checkFolder(check, inventory, obstacles, system.case === 'ignore'),
    );
    const requires = system.requires.map((item) => requirement(item, met));
    const optionalFirmware = system.optional.map((id) => ({ firmware: id, met: met(id) }));
    const all = [
      ...requires.map((row) => row.met),
      ...folders.map(({ enough }): Met => (enough ? 'proven' : 'lacking')),
    ];
    return {
      id: system.id,
      name: system.name,
      readiness: readinessOf(all, options.strict ?? false),
      requires,
      optional: {
        match: optionalFirmware.filter((row) => row.met === 'proven').length,
        total: optionalFirmware.length,
      },
      optionalFirmware,
      folders,
    };
  });
}

function requirement(item: Requirement, met: (id: string) => Met): RequirementRow {
  if ('firmware' in item) return { firmware: item.firmware, met: met(item.firmware) };
  const each = new Set(item.anyOf.map(met));
  const satisfiedBy = item.anyOf.find((id) => met(id) === 'proven') ?? null;
  const best = each.has('proven') ? 'proven' : each.has('unproven') ? 'unproven' : 'lacking';
  return { anyOf: item.anyOf, satisfiedBy, met: best };
}

function metBy(verdict: FirmwareVerdict | undefined, system: System): Met {
  switch (verdict?.verdict) {
    case 'match':
      return 'proven';
    case 'unverified':
      return 'unproven';
    case 'miscased':
      // The entry's own manifest may count letter case where this system's does not.
      if (system.case === 'exact') return 'lacking';
      return verdict.proven ? 'proven' : 'unproven';
    default:
      return 'lacking';
  }
}

function readinessOf(all: readonly Met[], strict: boolean): Readiness {
  if (all.includes('lacking')) return 'not-ready';
  if (!all.includes('unproven')) return 'ready';
  return strict ? 'not-ready' : 'unproven';
}
