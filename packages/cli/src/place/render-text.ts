import {
  CAUTIONS,
  count,
  dumpName,
  escapeText,
  keptFor,
  noneNotReady,
  readySystems,
  type Manifest,
  type Origin,
  type PlanDocument,
  type Readiness,
  type Step,
} from '@firmtally/core';
import type { Style } from '../context.js';
import { byteCount } from '../terminal/byte-count.js';
import { wrap } from '../terminal/wrap.js';

export interface TextStyle {
  /** Cells of the terminal. */
  readonly columns: number;
  readonly paint: (style: Style, text: string) => string;
}

/** A plan, or what became of it, for people: details first, what counts last. */
export function renderPlanText(
  document: PlanDocument,
  manifest: Pick<Manifest, 'firmware'>,
  style: TextStyle,
): string {
  const page = new Page(style);
  steps(document, manifest, page);
  for (const { path, action, to } of document.leftovers) {
    const what = {
      remove: `remove ${path}`,
      restore: `${path} becomes ${to ?? ''} again`,
      keep: `${path} is kept as ${to ?? ''}`,
    }[action];
    page.item(`Left by an earlier run: ${what}`, document.result === undefined ? 'yellow' : null);
  }
  if (document.faults.length > 0) page.heading('Could not be read');
  for (const { source, path, message } of document.faults) {
    page.item(`${place({ source, path, inside: [] })}: ${message}`, 'yellow');
  }
  if (document.unavailable.length > 0) page.heading('Not available');
  for (const { firmware, reason, optional } of document.unavailable) {
    page.item(`${firmware}${optional ? ' (optional)' : ''}: ${reason}`, optional ? null : 'yellow');
  }
  if (document.problems.length > 0) page.heading('Problems');
  for (const { firmware, path, message } of document.problems) {
    const about = [firmware, path].filter((part) => part !== null && part !== '').join(', ');
    page.item(`${about === '' ? '' : `${about}: `}${message}`, 'red');
  }
  page.heading(document.result === undefined ? 'Systems now' : 'Systems after placing');
  for (const { name, readiness } of document.systems) {
    page.item(`${name}: ${readiness}`, COLOUR[readiness]);
  }
  if (document.result === undefined && document.steps.length > 0) {
    page.heading('Before you apply this');
    for (const caution of CAUTIONS) page.item(caution, null);
  }
  page.gap();
  for (const [text, colour] of summary(document)) page.line(text, colour);
  return page.text();
}

const COLOUR: Readonly<Record<Readiness, Style>> = {
  ready: 'green',
  unproven: 'yellow',
  'not-ready': 'red',
};

function steps(document: PlanDocument, manifest: Pick<Manifest, 'firmware'>, page: Page): void {
  for (const [index, step] of document.steps.entries()) {
    const result = document.result?.[index];
    const number = `${index + 1}. `;
    page.hanging(number, titleOf(step, manifest), 'bold');
    const indent = ' '.repeat(number.length);
    for (const [index, from] of originsOf(step).entries()) {
      page.hanging(`${indent}${index === 0 ? 'from ' : '     '}`, place(from), null);
    }
    page.hanging(`${indent}to   `, step.to, null);
    for (const kept of keptFor(document, step)) {
      page.hanging(`${indent}keep `, `${kept.path} as ${kept.to}`, 'yellow');
    }
    if (result === undefined) continue;
    const done = result.outcome === 'done';
    const text = done ? 'done' : `${OUTCOME[result.outcome]}: ${result.message ?? ''}`;
    page.hanging(indent, text, done ? 'green' : 'red');
  }
}

const OUTCOME = { failed: 'failed', 'not-done': 'not done' } as const;

function titleOf(step: Step, { firmware }: Pick<Manifest, 'firmware'>): string {
  if (step.kind === 'case-fix' && step.entry === 'folder') return 'case-fix of a folder';
  const name = 'dump' in step ? dumpName(firmware.get(step.firmware), step.dump) : null;
  const dump = name === null ? '' : ` (${name})`;
  return `${step.kind} ${step.firmware}${dump}, ${byteCount(step.size)}`;
}

function originsOf(step: Step): readonly Origin[] {
  return step.kind === 'pack' ? step.members.map(({ from }) => from) : [step.from];
}

function place({ source, path, inside }: Origin): string {
  const where = source === null ? `the card: ${path}` : [source, path].filter(Boolean).join(': ');
  return [where, ...inside.map((member) => `member ${member.path}`)].join(', ');
}

function summary(document: PlanDocument): [string, Style | null][] {
  const { result, steps: planned, space, leftovers } = document;
  const lines: [string, Style | null][] = [];
  if (result === undefined && planned.length > 0) {
    const free = space.free === null ? '' : `; ${byteCount(space.free)} free`;
    const clusters = `${count(space.clusters, 'cluster')} of ${byteCount(space.clusterSize)}`;
    lines.push([`Space needed: ${byteCount(space.needed)} (${clusters})${free}.`, null]);
  }
  const ready = document.systems.filter(({ readiness }) => readiness === 'ready').length;
  lines.push([`${readySystems(ready, document.systems.length)}.`, null]);
  if (result !== undefined) {
    const done = result.filter(({ outcome }) => outcome === 'done').length;
    const all = done === result.length;
    const none =
      all && noneNotReady(document.systems) ? 'Nothing had to be done.' : 'No step was possible.';
    const text = `${done} of ${count(result.length, 'step')} done.`;
    lines.push([result.length === 0 ? none : text, all ? 'green' : 'red']);
  } else if (planned.length > 0) {
    const them = planned.length === 1 ? 'it' : 'them';
    lines.push([
      `${count(planned.length, 'step')} planned; nothing was written; add --apply to do ${them}.`,
      'bold',
    ]);
  } else if (leftovers.length > 0) {
    lines.push(['Nothing was written; add --apply to clear up after the earlier run.', 'bold']);
  } else {
    const nothing = noneNotReady(document.systems) ? 'Nothing to do' : 'No step is possible';
    lines.push([`${nothing}; nothing was written.`, null]);
  }
  return lines;
}

/** Lines that fit the terminal; every text that comes in is escaped here. */
class Page {
  readonly #style: TextStyle;
  readonly #lines: string[] = [];

  constructor(style: TextStyle) {
    this.#style = style;
  }

  heading(text: string): void {
    this.gap();
    this.line(text, 'bold');
  }

  gap(): void {
    if (this.#lines.length > 0) this.#lines.push('');
  }

  item(text: string, colour: Style | null): void {
    this.hanging('- ', text, colour);
  }

  line(text: string, colour: Style | null): void {
    this.hanging('', text, colour);
  }

  /** Text behind a lead, its further lines set in as far. */
  hanging(lead: string, text: string, colour: Style | null): void {
    const width = Math.max(8, this.#style.columns - lead.length);
    for (const [index, line] of wrap(escapeText(text), width).entries()) {
      const start = index === 0 ? lead : ' '.repeat(lead.length);
      this.#lines.push(start + (colour === null ? line : this.#style.paint(colour, line)));
    }
  }

  text(): string {
    return `${this.#lines.map((line) => line.trimEnd()).join('\n')}\n`;
  }
}
