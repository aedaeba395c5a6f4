import { addTo } from '../collections.js';
import type { Advice, AdviceCode } from '../facts/advice-values.js';
import type { SystemRow } from '../judge/readiness.js';
import { idsOf } from '../plan/to-get.js';
import type { FirmwareRow, Report, Rows } from './model.js';
import { adviceItem, adviceTogether, verdictWords } from './words.js';

/** Firmware with the same advice. Texts are untrusted still. */
export interface ToDoGroup {
  readonly code: AdviceCode;
  /** What to do, one plain sentence. */
  readonly text: string;
  readonly items: readonly ToDoItem[];
  /** No system's readiness hangs on any of it. */
  readonly optional: boolean;
}

/** One firmware that the advice is about. */
export interface ToDoItem {
  readonly row: FirmwareRow;
  /** The verdict, with the diagnosis of a mismatch. */
  readonly words: string;
  /** What differs from the others of its group; null when nothing does. */
  readonly text: string | null;
  /** Others of which any one would do as well. */
  readonly orElse: readonly string[];
  /** Names of the systems that wait for it. */
  readonly systems: readonly string[];
  readonly systemIds: readonly string[];
}

/** Firmware that somebody should do something about, before it is grouped. */
interface Task {
  readonly row: FirmwareRow;
  readonly advice: Advice;
  readonly orElse: readonly string[];
  readonly systems: Map<string, string>;
  readonly optional: boolean;
}

/**
 * Words what is to do: one task for each requirement that is not met, and for
 * optional firmware of a system that is not ready anyway; those with the same
 * advice together. What only has to be got is no task of its own.
 */
export function toDoOf(report: Report, rows: Rows): ToDoGroup[] {
  const tasks = new Map<string, Task>();
  // Of bytes that changed by themselves the advice of the comparison is: save the card. It is no other revision.
  const silent = new Set(
    (report.since?.changedBytes ?? [])
      .filter(({ silently }) => silently)
      .map(({ firmware }) => firmware),
  );
  const isNoSurprise = ({ id, advice }: FirmwareRow): boolean =>
    !(silent.has(id) && (advice?.code === 'dump-again' || advice?.code === 'look-for-revision'));
  const add = (system: SystemRow, ids: readonly string[], optional: boolean): void => {
    const row = easiest(ids.flatMap((id) => rows.get(id) ?? []).filter(isNoSurprise));
    if (row === undefined || row.advice === null) return;
    const known = tasks.get(row.id);
    if (known !== undefined) {
      known.systems.set(system.id, system.name);
      return;
    }
    const orElse = ids.filter((id) => id !== row.id);
    const systems = new Map([[system.id, system.name]]);
    tasks.set(row.id, { row, advice: row.advice, orElse, systems, optional });
  };
  for (const system of report.systems) {
    for (const item of system.requires) if (item.met !== 'proven') add(system, idsOf(item), false);
  }
  for (const system of report.systems) {
    if (system.readiness === 'ready') continue;
    for (const { firmware, met } of system.optionalFirmware) {
      if (met === 'lacking') add(system, [firmware], true);
    }
  }
  const inOrder = report.firmware.flatMap(({ id }) => tasks.get(id) ?? []);
  return [false, true].flatMap((optional) =>
    grouped(inOrder.filter((task) => task.optional === optional)),
  );
}

/** Those that cost least first; a system needs only one of its alternatives. */
const EFFORT: readonly AdviceCode[] = [
  'rename-to',
  'copy-there',
  'replace-with',
  'repair',
  'check-manifest',
  'allow-reading',
  'add-digest',
];

function easiest(rows: readonly FirmwareRow[]): FirmwareRow | undefined {
  const effort = ({ advice }: FirmwareRow): number => {
    const at = advice === null ? -1 : EFFORT.indexOf(advice.code);
    return at < 0 ? EFFORT.length : at;
  };
  return rows
    .filter(({ advice }) => advice !== null && !isOnlyToGet(advice))
    .sort((a, b) => effort(a) - effort(b))[0];
}

/** What is to get, and where it belongs, stands under "to get". */
function isOnlyToGet(advice: Advice): boolean {
  return (advice.code === 'put-dump' && advice.blockedBy === null) || advice.code === 'replace';
}

function grouped(tasks: readonly Task[]): ToDoGroup[] {
  const groups = new Map<string, Task[]>();
  for (const task of tasks) {
    const { code, text } = task.advice;
    addTo(groups, adviceTogether(code) === null ? text : code, task);
  }
  return [...groups.values()].flatMap((group): ToDoGroup[] => {
    const [first] = group;
    if (first === undefined) return [];
    const { code, text } = first.advice;
    const differ = group.some((task) => task.advice.text !== text);
    return [
      {
        code,
        text: differ ? (adviceTogether(code) ?? text) : text,
        optional: first.optional,
        items: group.map(({ row, advice, orElse, systems }) => ({
          row,
          words: verdictWords(row.verdict, row.diagnosis),
          text: differ ? adviceItem(advice) : null,
          orElse,
          systems: [...systems.values()],
          systemIds: [...systems.keys()],
        })),
      },
    ];
  });
}
