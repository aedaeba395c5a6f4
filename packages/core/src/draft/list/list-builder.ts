import { leftOutFor, type LeftOutReason } from '../../facts/left-out.js';
import type { Note } from '../note.js';
import type { LineOutcome, ListNote, ListReading, ListRow, UnusedLines } from './model.js';

/** Items of one kind after which reading stops: what has so many unused lines is no list. */
const MAX_UNUSED = 10_000;

/** Characters kept of a line that is not used. */
const SHOWN = 80;

/** Collects what becomes of the lines of one list. */
export class ListBuilder {
  readonly #rows: ListRow[] = [];
  readonly #unused: UnusedLines[] = [];
  readonly #notes: ListNote[] = [];
  #full = false;

  /** Whether so much was unusable that the rest is not read. */
  get full(): boolean {
    return this.#full;
  }

  /** @param line from 1 */
  add(line: number, text: string, outcome: LineOutcome): void {
    if ('code' in outcome) {
      this.#addUnused(line, text, outcome);
      return;
    }
    this.#rows.push({ line, ...outcome.row });
    this.notes(line, outcome.notes);
  }

  notes(line: number, notes: readonly Note[]): void {
    for (const note of notes) this.#notes.push({ line, ...note });
  }

  reading(): ListReading {
    return { rows: this.#rows, unused: this.#unused, notes: this.#notes };
  }

  #addUnused(line: number, text: string, reason: LeftOutReason): void {
    if (this.#full) return;
    const last = this.#unused.at(-1);
    if (last !== undefined && last.reason.text === reason.text && last.endLine >= line - 1) {
      this.#unused[this.#unused.length - 1] = { ...last, endLine: line };
      return;
    }
    if (this.#unused.length < MAX_UNUSED) {
      this.#unused.push({ line, endLine: line, reason, text: text.trim().slice(0, SHOWN) });
      return;
    }
    this.#full = true;
    this.#unused.push({ line, endLine: line, reason: leftOutFor('no-list', {}), text: '' });
  }
}
