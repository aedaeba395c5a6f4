import type { Fact } from '../facts/fact-values.js';
import type { RequirementRow, SystemRow } from '../judge/readiness.js';
import type { FirmwareVerdict } from '../judge/verdict.js';
import { compareUtf8 } from '../text/order.js';

/** One thing that neither the card nor what else was looked at can provide. */
export interface ToGetRow {
  /** Ids of firmware of which any one will do; one id of what is required by itself. */
  readonly anyOf: readonly string[];
  /** Ids of the systems that lack it, in order. */
  readonly systems: readonly string[];
  /** No system's readiness hangs on it. */
  readonly optional: boolean;
  /** What was met instead of each. */
  readonly facts: readonly Fact[];
}

/** What the list of things to get is made from. */
export interface ToGetInput {
  readonly systems: readonly SystemRow[];
  /** Whether its right bytes were seen somewhere, or can be made of what was seen. */
  readonly canBePutRight: (firmware: string) => boolean;
  /** What was met of a firmware that is lacking. */
  readonly metInstead: (firmware: string) => readonly Fact[];
}

/**
 * What has to be got from elsewhere: one row for each requirement that is
 * lacking and for which nothing seen will do, and for each such optional
 * firmware that no row names as required. Several systems that lack the same
 * share a row. In order of the first id.
 */
export function toGet(input: ToGetInput): ToGetRow[] {
  const rows = new Map<
    string,
    { anyOf: readonly string[]; systems: Set<string>; optional: boolean }
  >();
  const add = (system: SystemRow, anyOf: readonly string[], optional: boolean): void => {
    if (anyOf.some(input.canBePutRight)) return;
    const key = JSON.stringify([...anyOf].sort(compareUtf8));
    const known = rows.get(key);
    if (known === undefined) rows.set(key, { anyOf, systems: new Set([system.id]), optional });
    // Required by one system and optional for another: required counts.
    else if (known.optional === optional) known.systems.add(system.id);
  };
  for (const system of input.systems) {
    for (const item of system.requires) {
      if (item.met === 'lacking') add(system, idsOf(item), false);
    }
  }
  for (const system of input.systems) {
    for (const { firmware, met } of system.optionalFirmware) {
      if (met === 'lacking') add(system, [firmware], true);
    }
  }
  return [...rows.values()]
    .sort((a, b) => compareIds(a.anyOf, b.anyOf))
    .map(({ anyOf, systems, optional }) => ({
      anyOf,
      systems: [...systems].sort(compareUtf8),
      optional,
      facts: anyOf.flatMap((id) => input.metInstead(id)),
    }));
}

/** Ids of the firmware of which a requirement wants one. */
export function idsOf(item: RequirementRow): readonly string[] {
  return 'firmware' in item ? [item.firmware] : item.anyOf;
}

function compareIds(a: readonly string[], b: readonly string[]): number {
  for (const [index, id] of a.entries()) {
    const other = b[index];
    if (other === undefined) return 1;
    const order = compareUtf8(id, other);
    if (order !== 0) return order;
  }
  return a.length - b.length;
}

/**
 * Whether a root by itself has what puts a firmware right: its bytes under
 * another name, in other letter case or beside a wrong file, or a file of which
 * a corrected copy was proven to be it.
 */
export function canBePutRightOnCard(
  verdict: Pick<FirmwareVerdict, 'verdict' | 'foundAt' | 'judged'>,
  hasProvenRemedy: boolean,
): boolean {
  switch (verdict.verdict) {
    case 'match':
    case 'unverified':
    case 'misplaced':
    case 'miscased':
      return true;
    case 'mismatch':
      return hasProvenRemedy || (verdict.foundAt !== null && verdict.foundAt !== verdict.judged);
    case 'missing':
    case 'unreadable':
      return false;
  }
}
