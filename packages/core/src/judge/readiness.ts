import type { Inventory } from '../inventory/inventory.js';
import { isPresenceOnly, type Requirement, type System } from '../manifest/model.js';
import type { Selection } from '../manifest/selection.js';
import type { RequirementRow, SystemRow } from '../report/model.js';
import { checkFolder } from './folder-check.js';
import { Obstacles } from './obstacles.js';
import type { FirmwareVerdict, Readiness } from './verdict.js';

export interface ReadinessOptions {
  /** A system that would be `unproven` is `not-ready`. */
  readonly strict?: boolean;
}

/** How well something is provided for; the order is that of "best of". */
const STANDING = { lacking: 0, unproven: 1, proven: 2 } as const;
type Standing = (typeof STANDING)[keyof typeof STANDING];

/** The readiness of every selected system, in the selection's order. */
export function judgeReadiness(
  selection: Selection,
  verdicts: readonly FirmwareVerdict[],
  inventory: Inventory,
  options: ReadinessOptions = {},
): SystemRow[] {
  const byId = new Map(verdicts.map((verdict) => [verdict.id, verdict]));
  const presenceOnly = new Set(
    selection.firmware
      .filter(({ firmware }) => isPresenceOnly(firmware))
      .map(({ firmware }) => firmware.id),
  );
  const obstacles = new Obstacles(inventory);
  return selection.systems.map((system) => {
    const standing = (id: string): Standing =>
      standingOf(byId.get(id), system, presenceOnly.has(id));
    const folders = system.folders.map((check) => checkFolder(check, inventory, obstacles));
    const required = system.requires.map((item) => requirement(item, standing));
    const worst = Math.min(
      STANDING.proven,
      ...required.map(({ best }) => best),
      ...folders.map(({ enough }) => (enough ? STANDING.proven : STANDING.lacking)),
    );
    return {
      id: system.id,
      name: system.name,
      readiness: readinessOf(worst, options.strict ?? false),
      requires: required.map(({ row }) => row),
      optional: {
        match: system.optional.filter((id) => standing(id) === STANDING.proven).length,
        total: system.optional.length,
      },
      optionalFirmware: system.optional,
      folders,
    };
  });
}

function requirement(
  item: Requirement,
  standing: (id: string) => Standing,
): { readonly row: RequirementRow; readonly best: Standing } {
  if ('firmware' in item) {
    return { row: { firmware: item.firmware }, best: standing(item.firmware) };
  }
  const standings = item.anyOf.map(standing);
  const satisfiedBy = item.anyOf.find((_, index) => standings[index] === STANDING.proven) ?? null;
  const best = standings.reduce<Standing>((a, b) => (b > a ? b : a), STANDING.lacking);
  return { row: { anyOf: item.anyOf, satisfiedBy }, best };
}

function standingOf(
  verdict: FirmwareVerdict | undefined,
  system: System,
  presenceOnly: boolean,
): Standing {
  switch (verdict?.verdict) {
    case 'match':
      return STANDING.proven;
    case 'unverified':
      return STANDING.unproven;
    case 'miscased':
      // The entry's own manifest may count letter case where this system's does not.
      if (system.case === 'exact') return STANDING.lacking;
      return presenceOnly ? STANDING.unproven : STANDING.proven;
    default:
      return STANDING.lacking;
  }
}

function readinessOf(worst: number, strict: boolean): Readiness {
  if (worst === STANDING.proven) return 'ready';
  return worst === STANDING.unproven && !strict ? 'unproven' : 'not-ready';
}
