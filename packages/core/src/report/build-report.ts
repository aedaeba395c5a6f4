import type { Fault } from '../bytes/source.js';
import { adviceForVerdict } from '../diagnose/advice.js';
import type { Diagnosis } from '../diagnose/diagnosis.js';
import type { Fact } from '../facts/fact-values.js';
import { fact } from '../facts/fact.js';
import type { Hint } from '../facts/hint.js';
import type { Inventory } from '../inventory/inventory.js';
import type { SystemRow } from '../judge/readiness.js';
import { READINESS, VERDICTS, type FirmwareVerdict } from '../judge/verdict.js';
import { expectedPath } from '../manifest/expected-path.js';
import type { Dump, Manifest } from '../manifest/model.js';
import type { Selection } from '../manifest/selection.js';
import { systemsByFirmware } from '../manifest/users.js';
import { canBePutRightOnCard, toGet, type ToGetRow } from '../plan/to-get.js';
import { mismatchFact } from '../recognise/dumps.js';
import { sortedBy } from '../text/order.js';
import { expectedOf } from './expected.js';
import type { FirmwareRow, Report, Totals } from './model.js';
import { findStrays } from './strays.js';

export interface ReportInput {
  readonly tool: Report['tool'];
  readonly root: string;
  readonly manifest: Manifest;
  readonly selection: Selection;
  readonly verdicts: readonly FirmwareVerdict[];
  readonly systems: readonly SystemRow[];
  /** By firmware id. */
  readonly diagnoses: ReadonlyMap<string, Diagnosis>;
  readonly hints: readonly Hint[];
  readonly faults: readonly Fault[];
  /** Where strays are looked for; null when they were not asked for. */
  readonly strays: Inventory | null;
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
      loadoutName: selection.loadout?.name ?? null,
    },
    systems: sortedBy(input.systems, (row) => row.id),
    firmware: sortedBy(rows, (row) => row.id),
    toGet: toGetOf(input, rows),
    hints: input.hints,
    strays: straysOf(input),
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
  const diagnosis = input.diagnoses.get(verdict.id) ?? null;
  const firmware = input.manifest.firmware.get(verdict.id);
  const fault =
    verdict.obstacle?.fault ?? (verdict.judged === null ? undefined : faultAt.get(verdict.judged));
  const advice =
    firmware === undefined ? null : adviceForVerdict(verdict, firmware, diagnosis, fault ?? null);
  const facts = [...verdict.facts, ...factsOfMismatch(verdict, diagnosis, firmware?.dumps ?? [])];
  return {
    id: verdict.id,
    verdict: verdict.verdict,
    expectedPath: verdict.expectedPath,
    foundAt: verdict.foundAt,
    judged: verdict.judged,
    size: verdict.size,
    digests: verdict.digests,
    dump: verdict.dump,
    expected: firmware === undefined ? null : expectedOf(firmware),
    diagnosis: diagnosis?.kind ?? null,
    // Judge and diagnosis may have met the same fact, e.g. an encrypted member.
    facts: [...new Map(facts.map((each) => [each.text, each])).values()],
    advice,
    note: firmware?.note ?? null,
    systems,
  };
}

/** What is nowhere in the root, nor can be made of what is. */
function toGetOf(input: ReportInput, rows: readonly FirmwareRow[]): readonly ToGetRow[] {
  const byId = new Map(rows.map((row) => [row.id, row]));
  return toGet({
    systems: input.systems,
    canBePutRight: (id) => {
      const row = byId.get(id);
      return row !== undefined && canBePutRightOnCard(row, isMendable(id, input));
    },
    metInstead: (id) => {
      const row = byId.get(id);
      if (row === undefined || row.verdict === 'missing') return [];
      const path = row.judged ?? row.expectedPath;
      return row.facts
        .filter(({ code }) => !BESIDE_THE_POINT.has(code))
        .map((each) => fact('met-instead', { firmware: id, source: null, path, fact: each }));
    },
  });
}

/** A corrected copy can be made of it, or a ZIP anew of the members it has under wrong names. */
function isMendable(id: string, { diagnoses }: ReportInput): boolean {
  const diagnosis = diagnoses.get(id);
  if (diagnosis === undefined) return false;
  const { kind, remedy, firmware } = diagnosis;
  return remedy !== null || (kind === 'other-firmware' && firmware === id);
}

/** True of right files as well. */
const BESIDE_THE_POINT: ReadonlySet<string> = new Set(['read-through-link', 'extra-members']);

/** What a mismatch was found to be; of one that could not be examined, at least what differs. */
function factsOfMismatch(
  { verdict, size }: FirmwareVerdict,
  diagnosis: Diagnosis | null,
  dumps: readonly Dump[],
): readonly Fact[] {
  if (diagnosis !== null) return diagnosis.facts;
  if (verdict !== 'mismatch' || size === null || dumps.length === 0) return [];
  return [mismatchFact(size, dumps)];
}

function straysOf(input: ReportInput): Report['strays'] {
  const { manifest, selection, strays: inventory, verdicts } = input;
  if (inventory === null) return [];
  return findStrays({
    inventory,
    verdicts,
    otherPaths: [...manifest.firmware.values()].map((one) => expectedPath(one, selection.loadout)),
    folders: [...manifest.systems.values()].flatMap((system) =>
      system.folders.map((check) => ({ check, ignoresCase: system.case === 'ignore' })),
    ),
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
