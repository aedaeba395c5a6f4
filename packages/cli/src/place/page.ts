import { escapeText } from '@firmtally/core';
import type { Style } from '../context.js';
import { wrap } from '../terminal/wrap.js';

export interface TextStyle {
  /** Cells of the terminal. */
  readonly columns: number;
  readonly ascii: boolean;
  readonly paint: (style: Style, text: string) => string;
}

/** Lines that fit the terminal; every text that comes in is escaped here. */
export class Page {
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
    if (this.#lines.length > 0 && this.#lines.at(-1) !== '') this.#lines.push('');
  }

  item(text: string, colour: Style | null): void {
    this.hanging('- ', text, colour);
  }

  line(text: string, colour: Style | null): void {
    this.hanging('', text, colour);
  }

  /** Lines that fit and are escaped already. */
  block(lines: string): void {
    for (const line of lines.split('\n')) this.#lines.push(line);
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
    return this.#lines.map((line) => `${line.trimEnd()}\n`).join('');
  }
}
