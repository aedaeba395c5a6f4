import type { Fault } from '../bytes/source.js';
import { addTo } from '../collections.js';
import type { Readiness, Verdict } from '../judge/verdict.js';
import type { Comparison } from './compare.js';
import type { FolderRow } from '../judge/folder-check.js';
import type { RequirementRow, SystemRow } from '../judge/readiness.js';
import type { FirmwareRow, Report } from './model.js';
import { count, readySystems, verdictWords } from './words.js';

/** One line of the readiness table. Texts are untrusted still. */
export interface SystemLine {
  readonly id: string;
  readonly name: string;
  readonly readiness: Readiness;
  /** `2/3`: requirements met, of how many; '' when there are none. */
  readonly required: string;
  /** `1/2`; '' when there is none. */
  readonly optional: string;
  /** Short reasons for not being ready, then what optional firmware is not right. */
  readonly why: readonly string[];
}

/** A firmware that somebody should do something about. */
export interface TodoItem {
  readonly row: FirmwareRow;
  readonly words: string;
  /** Names of the systems that wait for it. */
  readonly systems: readonly string[];
  /** No system's readiness hangs on it. */
  readonly optional: boolean;
}

/** What the formats for people show, before any of them lays it out. */
export interface ReportView {
  readonly systems: readonly SystemLine[];
  readonly todo: readonly TodoItem[];
  /** One sentence for each folder whose content was counted. */
  readonly content: readonly string[];
  /** One line for each change since an earlier report; empty when there was none to compare. */
  readonly since: readonly string[];
  /** What could not be read, other than what a to-do item is about. */
  readonly otherFaults: readonly Fault[];
  readonly summary: string;
}

/** Chooses and words what a report says to people. */
export function viewOf(report: Report): ReportView {
  const rows = new Map(report.firmware.map((row) => [row.id, row]));
  const todo = todoOf(report);
  return {
    systems: report.systems.map((system) => systemLine(system, rows)),
    todo,
    content: contentLines(report),
    since: sinceLines(report.since),
    otherFaults: faultsBeside(todo, report.faults),
    summary: summaryLine(report),
  };
}

/** `5 of 9 systems are ready; 1 unproven, 3 not-ready.` */
export function summaryLine(report: Report): string {
  const { systems } = report.totals;
  const rest = (['unproven', 'not-ready'] as const)
    .filter((readiness) => systems[readiness] > 0)
    .map((readiness) => `${String(systems[readiness])} ${readiness}`);
  const head = readySystems(systems.ready, report.systems.length);
  return rest.length === 0 ? `${head}.` : `${head}; ${rest.join(', ')}.`;
}

type Rows = ReadonlyMap<string, FirmwareRow>;

function systemLine(system: SystemRow, rows: Rows): SystemLine {
  const total = system.requires.length;
  const open = openRequirements(system);
  const { optional } = system;
  return {
    id: system.id,
    name: system.name,
    readiness: system.readiness,
    required: total === 0 ? '' : `${String(total - open.length)}/${String(total)}`,
    optional: optional.total === 0 ? '' : `${String(optional.match)}/${String(optional.total)}`,
    why: [
      ...open.map((item) => reason(item, rows)),
      ...system.folders.filter((folder) => !folder.enough).map(tooFew),
      ...optionalReasons(system, rows),
    ],
  };
}

function openRequirements(system: SystemRow): readonly RequirementRow[] {
  return system.requires.filter(({ met }) => met !== 'proven');
}

function reason(item: RequirementRow, rows: Rows): string {
  if ('firmware' in item) return `${item.firmware}: ${wordsOf(rows.get(item.firmware))}`;
  const words = [...new Set(item.anyOf.map((id) => wordsOf(rows.get(id))))];
  return `one of ${item.anyOf.join(', ')}: ${words.join(', ')}`;
}

/** `optional osprey-splash: missing`, those of whom the same is to be said together. */
function optionalReasons({ optionalFirmware }: SystemRow, rows: Rows): string[] {
  const idsByWords = new Map<string, string[]>();
  for (const { firmware, met } of optionalFirmware) {
    if (met !== 'proven') addTo(idsByWords, wordsOf(rows.get(firmware)), firmware);
  }
  return [...idsByWords].map(([words, ids]) => `optional ${ids.join(', ')}: ${words}`);
}

function wordsOf(row: FirmwareRow | undefined): string {
  if (row === undefined) return 'missing';
  // In a short reason the diagnosis alone says more than "mismatch".
  return verdictWords(row.verdict, row.diagnosis).replace(/^mismatch: /, '');
}

function tooFew(folder: FolderRow): string {
  return `${folder.path}: ${count(folder.found, 'file')} of at least ${String(folder.atLeast)}`;
}

function todoOf(report: Report): TodoItem[] {
  const waiting = new Map<string, Set<string>>();
  const optional = new Map<string, Set<string>>();
  const note = (map: Map<string, Set<string>>, id: string, name: string): void => {
    const names = map.get(id);
    if (names === undefined) map.set(id, new Set([name]));
    else names.add(name);
  };
  for (const system of report.systems) {
    for (const { firmware } of system.optionalFirmware) note(optional, firmware, system.name);
    if (system.readiness === 'ready') continue;
    for (const item of openRequirements(system)) {
      for (const id of 'firmware' in item ? [item.firmware] : item.anyOf) {
        note(waiting, id, system.name);
      }
    }
  }
  const items = report.firmware.flatMap((row): TodoItem[] => {
    if (row.advice === null) return [];
    const words = verdictWords(row.verdict, row.diagnosis);
    const systems = waiting.get(row.id);
    if (systems !== undefined) return [{ row, words, systems: [...systems], optional: false }];
    // That something optional is not there is no task.
    const users = optional.get(row.id);
    if (users === undefined || QUIET.includes(row.verdict)) return [];
    return [{ row, words, systems: [...users], optional: true }];
  });
  return [...items.filter((item) => !item.optional), ...items.filter((item) => item.optional)];
}

function faultsBeside(todo: readonly TodoItem[], faults: readonly Fault[]): Fault[] {
  const unreadable = todo.filter(({ row }) => row.verdict === 'unreadable');
  const explained = new Set(unreadable.map(({ row }) => row.foundAt));
  return faults.filter(({ path }) => !explained.has(path));
}

const QUIET: readonly Verdict[] = ['missing', 'unverified', 'match'];

function contentLines(report: Report): string[] {
  const lines = new Set<string>();
  for (const { folders } of report.systems) {
    for (const { path, found, atLeast, enough, pictures, facts = [] } of folders) {
      const need = enough ? '' : ` of at least ${String(atLeast)}`;
      const shown =
        pictures === null ? '' : `, ${String(pictures.found)} with a picture in ${pictures.folder}`;
      const why = facts.length === 0 ? '' : `; ${facts.map(({ text }) => text).join(' ')}`;
      lines.add(`${path}: ${count(found, 'file')}${need}${shown}${why}`);
    }
  }
  return [...lines];
}

/** One line for each change since an earlier report, worst first; none when there was no report to compare. */
export function sinceLines(since: Comparison | undefined): string[] {
  if (since === undefined) return [];
  const changed = (label: string, changes: Comparison['newlyWrong']): string[] =>
    changes.map(({ firmware, before, now }) => `${label}: ${firmware} (${before} -> ${now})`);
  const silently = since.changedBytes.filter((change) => change.silently);
  const openly = since.changedBytes.filter((change) => !change.silently);
  return [
    ...silently.map(
      ({ firmware, path }) =>
        `changed silently: ${firmware} (${path}): other bytes, though its size is the same and its time is not later than the report's; the card may be failing`,
    ),
    ...changed('newly wrong', since.newlyWrong),
    ...changed('newly right', since.newlyRight),
    ...changed('otherwise', since.otherwise),
    ...openly.map(
      ({ firmware, path, sizeBefore, size }) =>
        `other bytes: ${firmware} (${path})${
          sizeBefore === size ? '' : `: ${String(sizeBefore)} -> ${count(size, 'byte')}`
        }`,
    ),
    ...since.systems.map(({ system, before, now }) => `system ${system}: ${before} -> ${now}`),
    ...since.appeared.map((id) => `not in the earlier report: ${id}`),
    ...since.gone.map((id) => `only in the earlier report: ${id}`),
    `unchanged: ${String(since.unchanged)} firmware`,
  ];
}
