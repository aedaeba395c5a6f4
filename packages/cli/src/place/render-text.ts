import {
  CAUTIONS,
  type Manifest,
  type Origin,
  type PlanDocument,
  type Readiness,
  type ResultRow,
  type Selection,
  type Step,
} from '@firmtally/core';
import {
  byteCount,
  count,
  dumpName,
  expectedOf,
  KEPT_FOLDER,
  keptFor,
  noneNotReady,
  readySystems,
  systemsByFirmware,
  toGetOf,
  tooFewFiles,
  placeInside,
} from '@firmtally/core/internal';
import type { Style } from '../context.js';
import { toGetText } from '../to-get-text.js';
import { Page, type TextStyle } from './page.js';

/** What a plan is about, as people know it. */
export interface PlanSubject {
  readonly manifest: Pick<Manifest, 'firmware' | 'sources'>;
  readonly selection: Selection;
}

/** Words a plan, and what became of it, for people. */
export class PlanText {
  readonly #subject: PlanSubject;
  readonly #style: TextStyle;
  /** Firmware id -> names of the selected systems that use it. */
  readonly #users = new Map<string, readonly string[]>();

  constructor(subject: PlanSubject, style: TextStyle) {
    this.#subject = subject;
    this.#style = style;
    const { systems } = subject.selection;
    const names = new Map(systems.map(({ id, name }) => [id, name]));
    for (const [firmware, ids] of systemsByFirmware(systems)) {
      this.#users.set(
        firmware,
        ids.map((id) => names.get(id) ?? id),
      );
    }
  }

  /** A whole plan that nothing was done about. */
  plan(document: PlanDocument): string {
    const page = this.#page();
    this.#head(document, page);
    for (const [index, step] of document.steps.entries()) {
      page.gap();
      this.#step(document, step, index, page);
    }
    this.#leftovers(document, page);
    this.#faults(document, page);
    this.#lacking(document, page);
    this.#systems('Not ready after placing', document.after.systems, page);
    if (document.steps.length > 0) {
      page.heading('Before you apply this');
      for (const caution of CAUTIONS) page.item(caution, null);
    }
    page.gap();
    page.line(...planned(document));
    return page.text();
  }

  /** What is told before the steps are done: the first lines, and what was left by an earlier run. */
  beginning(document: PlanDocument): string {
    const page = this.#page();
    this.#head(document, page);
    this.#leftovers(document, page);
    page.gap();
    return page.text();
  }

  /** What became of one step. */
  result(
    document: PlanDocument,
    step: Step,
    { outcome, message }: ResultRow,
    index: number,
  ): string {
    const page = this.#page();
    const mark = MARKS[outcome][this.#style.ascii ? 'ascii' : 'unicode'];
    const lead = `${mark} ${this.#number(index, document)}`;
    const what = `${this.#title(step)} -> ${step.to}`;
    const why = outcome === 'done' ? '' : `. ${WORDS[outcome]}: ${message}`;
    page.hanging(lead, what + why, outcome === 'done' ? null : 'red');
    for (const { path, to } of outcome === 'done' ? keptFor(document, step) : []) {
      page.hanging(' '.repeat(lead.length), `kept: ${path} as ${to}`, null);
    }
    return page.text();
  }

  /** What remains, once the steps are done. `document` has their results. */
  ending(document: PlanDocument): string {
    const page = this.#page();
    const { systems, result = [], kept, steps } = document;
    this.#faults(document, page);
    this.#lacking(document, page);
    this.#systems('Not ready yet', systems, page);
    const moved = steps.some(
      (step, index) => result[index]?.outcome === 'done' && keptFor({ kept }, step).length > 0,
    );
    page.gap();
    if (moved) page.line(`What was in the way is in ${KEPT_FOLDER}/ on the card.`, null);
    const done = result.filter(({ outcome }) => outcome === 'done').length;
    const all = done === result.length;
    const none = noneNotReady(systems) ? 'Nothing had to be done.' : 'No step was possible.';
    const text = result.length === 0 ? none : `${done} of ${count(result.length, 'step')} done.`;
    page.line(`${readySystems(readyOf(systems), systems.length)}. ${text}`, all ? 'bold' : 'red');
    // The lines of the steps stand before it.
    return result.length === 0 ? page.text() : `\n${page.text()}`;
  }

  #page(): Page {
    return new Page(this.#style);
  }

  /** What is asked first: which card, how it stands, what is lacking, whether it fits. */
  #head(document: PlanDocument, page: Page): void {
    const { systems, after, toGet, space, fits, hints } = document;
    const { loadout } = this.#subject.selection;
    const titles = this.#subject.manifest.sources.flatMap(({ title }) => title ?? []);
    const name = loadout === null ? [] : [`loadout ${loadout.name ?? loadout.id}`];
    const onto = `onto ${document.onto}`;
    page.line([titles.join(' + '), ...name, onto].filter(Boolean).join(', '), 'bold');
    const now = readyOf(systems);
    const then = readyOf(after.systems);
    const ready = `${readySystems(now, systems.length)} now`;
    page.line(
      document.steps.length === 0 ? `${ready}.` : `${ready}, ${then} after placing.`,
      then === systems.length ? 'green' : 'yellow',
    );
    const lacking = toGet.filter(({ optional }) => !optional).length;
    const optional = toGet.length - lacking;
    const also = optional === 0 ? '' : ` (and ${optional} optional)`;
    page.line(
      lacking === 0
        ? `Nothing is left to get${also}.`
        : `${count(lacking, 'file')} still to get${also}.`,
      lacking === 0 ? null : 'yellow',
    );
    const damaged = document.problems.filter(({ code }) => code === 'needs-repair').length;
    if (damaged > 0) {
      page.line(
        `${count(damaged, 'file')} can be made right from damaged copies: add --repair.`,
        'yellow',
      );
    }
    for (const { text } of hints) page.line(text, 'yellow');
    if (document.steps.length === 0) return;
    const free = space.free === null ? '' : `, ${byteCount(space.free)} free`;
    const room = fits === null ? '' : fits ? ': it fits' : ': it does not fit';
    page.line(
      `${byteCount(space.needed)} needed (${count(space.clusters, 'cluster')} of ${byteCount(space.clusterSize)})${free}${room}.`,
      fits === false ? 'red' : null,
    );
  }

  #step(document: PlanDocument, step: Step, index: number, page: Page): void {
    const number = this.#number(index, document);
    page.hanging(number, this.#title(step), 'bold');
    const indent = ' '.repeat(number.length);
    for (const [at, from] of originsOf(step).entries()) {
      page.hanging(`${indent}${at === 0 ? 'from ' : '     '}`, originText(from), null);
    }
    page.hanging(`${indent}to   `, step.to, null);
    for (const kept of keptFor(document, step)) {
      page.hanging(`${indent}keep `, `${kept.path} as ${kept.to}`, 'yellow');
    }
  }

  #number(index: number, { steps }: PlanDocument): string {
    return `${String(index + 1).padStart(String(steps.length).length)}. `;
  }

  #title(step: Step): string {
    const systems = this.#users.get(step.firmware) ?? [];
    const names =
      systems.length > 3 ? [...systems.slice(0, 2), `${systems.length - 2} more`] : systems;
    const whose = names.length === 0 ? '' : `${names.join(', ')}: `;
    if (step.kind === 'case-fix' && step.entry === 'folder') return `${whose}case-fix of a folder`;
    const firmware = this.#subject.manifest.firmware.get(step.firmware);
    const name = 'dump' in step ? dumpName(firmware, step.dump) : null;
    const dump = name === null ? '' : ` (${name})`;
    const members = step.kind === 'pack' ? `, ${count(step.members.length, 'member')}` : '';
    return `${whose}${step.kind} ${step.firmware}${dump}${members}, ${byteCount(step.size)}`;
  }

  #leftovers(document: PlanDocument, page: Page): void {
    if (document.leftovers.length > 0) page.heading('Left by an earlier run');
    for (const { text } of document.leftovers) page.item(text, 'yellow');
  }

  #faults({ faults }: PlanDocument, page: Page): void {
    if (faults.length > 0) page.heading('Could not be read');
    for (const { source, path, message } of faults) {
      page.item(`${originText({ source, path, inside: [] })}: ${message}`, 'yellow');
    }
  }

  #lacking(document: PlanDocument, page: Page): void {
    const rows = {
      get: (id: string): ToGetRow | undefined => this.#toGetRow(id),
    };
    const items = toGetOf(document, rows);
    if (items.length > 0) page.heading('To get');
    for (const item of items) {
      page.gap();
      page.block(toGetText(item, this.#style));
    }
    const { problems } = document;
    if (problems.length > 0) page.heading('Not done');
    for (const { code, firmware, path, text } of problems) {
      const hint = code === 'needs-repair' ? ' Add --repair to do so.' : '';
      page.item(`${firmware}, ${path}: ${text}${hint}`, 'red');
    }
  }

  #toGetRow(id: string): ToGetRow | undefined {
    const { selection } = this.#subject;
    const entry = selection.firmware.find(({ firmware }) => firmware.id === id);
    if (entry === undefined) return undefined;
    const { firmware, expectedPath } = entry;
    return { expectedPath, expected: expectedOf(firmware), note: firmware.note };
  }

  #systems(heading: string, systems: PlanDocument['after']['systems'], page: Page): void {
    const named = new Map(this.#subject.selection.systems.map(({ id, name }) => [id, name]));
    const open = (['not-ready', 'unproven'] as const).flatMap((readiness) => {
      const names = systems
        .filter((system) => system.readiness === readiness)
        .map(({ id, tooFew }) => {
          const content = tooFew.length === 0 ? '' : ` (${tooFew.map(tooFewFiles).join('; ')})`;
          return (named.get(id) ?? id) + content;
        });
      return names.length === 0 ? [] : [{ readiness, names: names.join(', ') }];
    });
    if (open.length > 0) page.heading(heading);
    for (const { readiness, names } of open) page.item(`${readiness}: ${names}`, COLOUR[readiness]);
  }
}

type ToGetRow = NonNullable<ReturnType<Parameters<typeof toGetOf>[1]['get']>>;

const MARKS = {
  done: { unicode: '\u2713', ascii: '+' },
  failed: { unicode: '\u2717', ascii: 'x' },
  'not-done': { unicode: '-', ascii: '-' },
} as const;

const WORDS = { done: 'Done', failed: 'Failed', 'not-done': 'Not done' } as const;

const COLOUR: Readonly<Record<Readiness, Style>> = {
  ready: 'green',
  unproven: 'yellow',
  'not-ready': 'red',
};

function originsOf(step: Step): readonly Origin[] {
  return step.kind === 'pack' ? step.members.map(({ from }) => from) : [step.from];
}

function originText({ source, path, inside }: Origin): string {
  const where = source === null ? `the card: ${path}` : [source, path].filter(Boolean).join(': ');
  return placeInside(where, inside);
}

function readyOf(systems: readonly { readonly readiness: Readiness }[]): number {
  return systems.filter(({ readiness }) => readiness === 'ready').length;
}

function planned({ steps, leftovers, systems }: PlanDocument): [string, Style | null] {
  if (steps.length > 0) {
    const them = steps.length === 1 ? 'it' : 'them';
    return [
      `${count(steps.length, 'step')} planned; nothing was written; add --apply to do ${them}.`,
      'bold',
    ];
  }
  if (leftovers.length > 0) {
    return ['Nothing was written; add --apply to clear up after the earlier run.', 'bold'];
  }
  const nothing = noneNotReady(systems) ? 'Nothing to do' : 'No step is possible';
  return [`${nothing}; nothing was written.`, null];
}
