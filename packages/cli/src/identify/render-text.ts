import type { PileRow, PileSection, PileView } from '@firmtally/core';
import { wrapIndented } from '../terminal/wrap.js';

export interface TextOptions {
  /** Cells of the terminal. */
  readonly columns: number;
  /** Also names the files that are not in the manifest, and every copy. */
  readonly all: boolean;
  /** What to type next; null when there is nothing that can be placed. */
  readonly next: string | null;
  readonly paint: (style: Style, text: string) => string;
}

type Style = 'bold' | 'dim' | 'green' | 'red';

/** Narrower than this no layout helps. */
const MIN_COLUMNS = 20;

/** Further places named of one row; of more, how many. */
const PLACES_SHOWN = 3;

/** The answer and what comes next; then section by section; the summary again. Every line fits the width. */
export function renderText(view: PileView, options: TextOptions): string {
  return new PileText(options).whole(view);
}

class PileText {
  readonly #options: TextOptions;
  readonly #columns: number;

  constructor(options: TextOptions) {
    this.#options = options;
    this.#columns = Math.max(MIN_COLUMNS, options.columns);
  }

  whole(view: PileView): string {
    const summary = this.#lines(view.summary, '', 'bold');
    const head = [
      ...summary,
      ...view.outcome.flatMap((sentence) => this.#lines(sentence, '')),
      ...this.#next(),
    ];
    // What could not be read stands on stderr.
    const sections = view.sections.filter(({ id }) => id !== 'faults');
    const blocks = [head, ...sections.map((section) => this.#section(section))];
    const all = blocks.length > 1 ? [...blocks, summary] : blocks;
    return `${all.map((lines) => lines.join('\n')).join('\n\n')}\n`;
  }

  #next(): string[] {
    const { next } = this.#options;
    if (next === null) return [];
    return [
      ...this.#lines('To put what was found where it belongs:', ''),
      ...this.#lines(next, '  ', 'bold'),
    ];
  }

  #section({ id, title, rows }: PileSection): string[] {
    const { all } = this.#options;
    // Of the others only those of which there is something to say, unless all are asked for.
    const shown = id !== 'others' || all ? rows : rows.filter(({ facts }) => facts.length > 0);
    const left = rows.length - shown.length;
    const more =
      left === 0 ? '' : ` (--all lists ${shown.length === 0 ? '' : 'the other '}${left})`;
    return [
      ...this.#lines(`${title}${more}`, '', 'dim'),
      ...shown.flatMap((row) => this.#row(id, row)),
    ];
  }

  #row(id: PileSection['id'], { places, what, facts, advice, right }: PileRow): string[] {
    const [first = '', ...further] = places;
    const style = id === 'recognised' ? 'green' : id === 'attention' ? 'red' : undefined;
    return [
      ...this.#lines(first, '', 'bold'),
      ...what.flatMap((line) => this.#lines(line, '  ', style)),
      ...facts.flatMap((fact) => this.#labelled('fact', fact)),
      ...(right === null ? [] : this.#labelled('right', right)),
      ...(advice === null ? [] : this.#labelled('do', advice)),
      ...this.#further(further).flatMap((place) => this.#labelled('also', place)),
    ];
  }

  /** One more is not worth a line that counts it. */
  #further(places: readonly string[]): string[] {
    if (this.#options.all || places.length <= PLACES_SHOWN + 1) return [...places];
    const left = places.length - PLACES_SHOWN;
    return [...places.slice(0, PLACES_SHOWN), `${left} more (--all lists them)`];
  }

  #lines(text: string, indent: string, style?: Style): string[] {
    const lines = wrapIndented(text, indent, this.#columns);
    return style === undefined ? lines : lines.map((line) => this.#options.paint(style, line));
  }

  #labelled(label: string, text: string): string[] {
    const indent = '        ';
    return wrapIndented(text, indent, this.#columns).map((line, index) =>
      index === 0
        ? `  ${this.#options.paint('dim', label.padEnd(6))}${line.slice(indent.length)}`
        : line,
    );
  }
}
