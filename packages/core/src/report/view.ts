import type { Fault } from '../bytes/source.js';
import { addTo } from '../collections.js';
import type { RequirementRow, SystemRow } from '../judge/readiness.js';
import type { Readiness, Verdict } from '../judge/verdict.js';
import type { DiagnosisKind } from '../diagnose/diagnosis.js';
import { count } from '../text/count.js';
import type { Report, Rows } from './model.js';
import { sinceOf, type SinceView } from './view-since.js';
import { toDoOf, type ToDoGroup } from './view-to-do.js';
import { toGetOf, type ToGetItem } from './view-to-get.js';
import { MEANINGS, readySystems, shortWord, tooFewFiles } from './words.js';

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

/** A word of the table, and what it means. */
interface LegendLine {
  readonly word: string;
  readonly meaning: string;
}

/** What was counted in one folder. */
export interface ContentLine {
  /** One sentence. */
  readonly text: string;
  /** What kept files from being counted, and the like. */
  readonly facts: readonly string[];
  /** Paths of files without a picture. */
  readonly withoutPicture: readonly string[];
  /** Paths of pictures that belong to no file. */
  readonly withoutFile: readonly string[];
}

/**
 * What every format shows, before any of them lays it out: chosen, ordered and
 * worded once, so that no two can disagree. Texts are untrusted still.
 */
export interface ReportView {
  /** For what is not worded: the formats for programs. */
  readonly report: Report;
  readonly title: string;
  /** What the loadout is called; null when none was chosen. */
  readonly loadout: string | null;
  /** `Tern pocket, loadout Travel: 5 of 9 systems are ready; 1 unproven, 3 not-ready.` */
  readonly headline: string;
  /** The headline without title and loadout. */
  readonly summary: string;
  readonly hints: readonly string[];
  /** Null when no earlier report was compared. */
  readonly since: SinceView | null;
  /** Those that are not ready first. */
  readonly systems: readonly SystemLine[];
  /** Every verdict and diagnosis that the systems' reasons name, in the order they first do. */
  readonly legend: readonly LegendLine[];
  readonly toGet: readonly ToGetItem[];
  readonly toDo: readonly ToDoGroup[];
  readonly content: readonly ContentLine[];
  /** What could not be read, other than what something to do is about. */
  readonly otherFaults: readonly Fault[];
}

/**
 * Chooses and words what a report says to people.
 *
 * @example
 * viewOf(report).summary; // => '1 of 2 systems is ready; 1 not-ready.'
 */
export function viewOf(report: Report): ReportView {
  const rows: Rows = new Map(report.firmware.map((row) => [row.id, row]));
  const words = new Set<Verdict | DiagnosisKind | Readiness>();
  const ordered = notReadyFirst(report.systems);
  const systems = ordered.map((system) => systemLine(system, rows, words));
  if (report.totals.systems.unproven > 0) words.add('unproven');
  const toDo = toDoOf(report, rows);
  const title = report.manifests.find((source) => source.title !== null)?.title ?? report.root;
  const loadout = report.selection.loadoutName ?? report.selection.loadout;
  const summary = summaryLine(report);
  return {
    report,
    title,
    loadout,
    headline: `${title}${loadout === null ? '' : `, loadout ${loadout}`}: ${summary}`,
    summary,
    hints: report.hints.map(({ text }) => text),
    since: report.since === undefined ? null : sinceOf(report.since),
    systems,
    legend: [...words].map((word) => ({ word, meaning: MEANINGS[word] })),
    toGet: toGetOf(report, rows),
    toDo,
    content: contentLines(report.systems),
    otherFaults: faultsBeside(toDo, report.faults),
  };
}

/** `5 of 9 systems are ready; 1 unproven, 3 not-ready.` */
function summaryLine(report: Pick<Report, 'systems' | 'totals'>): string {
  const { systems } = report.totals;
  const rest = (['unproven', 'not-ready'] as const)
    .filter((readiness) => systems[readiness] > 0)
    .map((readiness) => `${String(systems[readiness])} ${readiness}`);
  const head = readySystems(systems.ready, report.systems.length);
  return rest.length === 0 ? `${head}.` : `${head}; ${rest.join(', ')}.`;
}

function notReadyFirst(systems: readonly SystemRow[]): readonly SystemRow[] {
  const order: readonly Readiness[] = ['not-ready', 'unproven', 'ready'];
  return order.flatMap((readiness) => systems.filter((row) => row.readiness === readiness));
}

type Words = Set<Verdict | DiagnosisKind | Readiness>;

function systemLine(system: SystemRow, rows: Rows, words: Words): SystemLine {
  const { requires, optional } = system;
  const open = requires.filter(({ met }) => met !== 'proven');
  const wordOf = (id: string): string => {
    const row = rows.get(id);
    // In a short reason the diagnosis alone says more than "mismatch".
    const word = row === undefined ? 'missing' : shortWord(row.verdict, row.diagnosis);
    words.add(word);
    return word;
  };
  return {
    id: system.id,
    name: system.name,
    readiness: system.readiness,
    required: ratio(requires.length - open.length, requires.length),
    optional: ratio(optional.match, optional.total),
    why: [
      ...open.map((item) => reason(item, wordOf)),
      ...system.folders.filter((folder) => !folder.enough).map(tooFewFiles),
      ...optionalReasons(system, wordOf),
    ],
  };
}

function ratio(part: number, whole: number): string {
  return whole === 0 ? '' : `${String(part)}/${String(whole)}`;
}

function reason(item: RequirementRow, wordOf: (id: string) => string): string {
  if ('firmware' in item) return `${item.firmware}: ${wordOf(item.firmware)}`;
  const words = [...new Set(item.anyOf.map(wordOf))];
  return `one of ${item.anyOf.join(', ')}: ${words.join(', ')}`;
}

/** `optional osprey-splash: missing`, those of whom the same is to be said together. */
function optionalReasons(system: SystemRow, wordOf: (id: string) => string): string[] {
  const idsByWord = new Map<string, string[]>();
  for (const { firmware, met } of system.optionalFirmware) {
    if (met !== 'proven') addTo(idsByWord, wordOf(firmware), firmware);
  }
  return [...idsByWord].map(([word, ids]) => `optional ${ids.join(', ')}: ${word}`);
}

/** Systems may share a folder; it is told of once. */
function contentLines(systems: readonly SystemRow[]): ContentLine[] {
  const lines = new Map<string, ContentLine>();
  for (const { folders } of systems) {
    for (const { path, found, atLeast, enough, pictures, facts = [] } of folders) {
      const need = enough ? '' : ` of at least ${String(atLeast)}`;
      const shown =
        pictures === null ? '' : `, ${String(pictures.found)} with a picture in ${pictures.folder}`;
      const text = `${path}: ${count(found, 'file')}${need}${shown}`;
      lines.set(text, {
        text,
        facts: facts.map((fact) => fact.text),
        withoutPicture: pictures?.without ?? [],
        withoutFile: pictures?.unused ?? [],
      });
    }
  }
  return [...lines.values()];
}

/** Faults of files that something to do is about are told of there. */
function faultsBeside(toDo: readonly ToDoGroup[], faults: readonly Fault[]): Fault[] {
  const rows = toDo.flatMap(({ items }) => items.map(({ row }) => row));
  const unreadable = rows.filter(({ verdict }) => verdict === 'unreadable');
  const explained = new Set(unreadable.map(({ foundAt }) => foundAt));
  return faults.filter(({ path }) => !explained.has(path));
}
