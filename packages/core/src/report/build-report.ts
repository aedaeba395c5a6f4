import type { Fault } from '../bytes/source.js';
import type { Diagnosis } from '../diagnose/diagnosis.js';
import type { Inventory } from '../inventory/inventory.js';
import type { SystemRow } from '../judge/readiness.js';
import { READINESS, VERDICTS, type FirmwareVerdict } from '../judge/verdict.js';
import { expectedPath } from '../manifest/expected-path.js';
import type { Manifest } from '../manifest/model.js';
import type { Selection } from '../manifest/selection.js';
import { systemsByFirmware } from '../manifest/users.js';
import { sortedBy } from '../text/order.js';
import { adviceFor } from './advice.js';
import type { FirmwareRow, Report, Totals } from './model.js';
import { findStrays } from './strays.js';
import { count } from './words.js';

/** What a mismatch was found to be, and what to do about it. */
export interface Diagnosed {
  readonly diagnosis: Diagnosis;
  readonly advice: string;
}

export interface ReportInput {
  readonly tool: Report['tool'];
  readonly root: string;
  readonly manifest: Manifest;
  readonly selection: Selection;
  readonly inventory: Inventory;
  readonly verdicts: readonly FirmwareVerdict[];
  readonly systems: readonly SystemRow[];
  /** By firmware id. */
  readonly diagnoses: ReadonlyMap<string, Diagnosed>;
  readonly faults: readonly Fault[];
  readonly strays: boolean;
}

/** Puts together what was found; judges nothing itself. */
export function buildReport(input: ReportInput): Report {
  const { selection, manifest } = input;
  const faultAt = new Map(input.faults.map((fault) => [fault.path, fault]));
  const systemsOf = systemsByFirmware(selection.systems);
  const rows = input.verdicts.map((verdict) =>
    firmwareRow(verdict, systemsOf.get(verdict.id) ?? [], input, faultAt),
  );
  return {
    report: 1,
    tool: { name: input.tool.name, version: input.tool.version },
    root: input.root,
    manifests: sortedBy(manifest.sources, (source) => source.path).map(
      ({ path, sha256, title }) => ({ path, sha256, title }),
    ),
    selection: {
      systems: sortedBy(
        selection.systems.map((system) => system.id),
        (id) => id,
      ),
      loadout: selection.loadout?.id ?? null,
    },
    systems: sortedBy(input.systems, (row) => row.id),
    firmware: sortedBy(rows, (row) => row.id),
    strays: input.strays ? straysOf(input) : [],
    faults: input.faults,
    totals: totalsOf(input.systems, rows),
  };
}

function firmwareRow(
  verdict: FirmwareVerdict,
  systems: readonly string[],
  input: ReportInput,
  faultAt: ReadonlyMap<string, Fault>,
): FirmwareRow {
  const diagnosed = input.diagnoses.get(verdict.id);
  const fault =
    verdict.obstacle?.fault ?? (verdict.judged === null ? undefined : faultAt.get(verdict.judged));
  return {
    id: verdict.id,
    verdict: verdict.verdict,
    expectedPath: verdict.expectedPath,
    foundAt: verdict.foundAt,
    dump: verdict.dump,
    size: verdict.size,
    digests: verdict.digests,
    diagnosis: diagnosed?.diagnosis.kind ?? null,
    advice: adviceFor(verdict, diagnosed?.advice ?? null, fault ?? null),
    // Judge and diagnosis may have met the same fact, e.g. an encrypted member.
    detail: [
      ...new Set([
        ...verdict.detail,
        ...detailOf(verdict, diagnosed?.diagnosis ?? null, input.manifest),
      ]),
    ],
    systems,
  };
}

/** What a mismatch was found to be; of one that was not, at least the sizes when they differ. */
function detailOf(
  verdict: FirmwareVerdict,
  diagnosis: Diagnosis | null,
  manifest: Manifest,
): readonly string[] {
  if (verdict.verdict !== 'mismatch') return [];
  if (diagnosis !== null && diagnosis.kind !== 'unknown') return [diagnosis.detail];
  const { size, digests } = verdict;
  const dumps = manifest.firmware.get(verdict.id)?.dumps ?? [];
  const sizes = new Set(dumps.flatMap((dump) => (dump.size === null ? [] : [dump.size])));
  const expected = [...sizes].sort((a, b) => a - b).join(' or ');
  return [
    ...(diagnosis === null ? [] : [diagnosis.detail]),
    ...(size === null || digests !== null
      ? []
      : [`It has ${count(size, 'byte')}; expected: ${expected}.`]),
  ];
}

function straysOf(input: ReportInput): Report['strays'] {
  const { manifest, selection, inventory, verdicts } = input;
  return findStrays({
    inventory,
    verdicts,
    otherPaths: [...manifest.firmware.values()].map((one) => expectedPath(one, selection.loadout)),
    folders: [...manifest.systems.values()].flatMap((system) => system.folders),
  });
}

function totalsOf(systems: readonly SystemRow[], firmware: readonly FirmwareRow[]): Totals {
  return {
    systems: countBy(
      READINESS,
      systems.map((row) => row.readiness),
    ),
    firmware: countBy(
      VERDICTS,
      firmware.map((row) => row.verdict),
    ),
  };
}

function countBy<Key extends string>(
  keys: readonly Key[],
  values: readonly Key[],
): Record<Key, number> {
  const counts = Object.fromEntries(keys.map((key) => [key, 0])) as Record<Key, number>;
  for (const value of values) counts[value]++;
  return counts;
}
