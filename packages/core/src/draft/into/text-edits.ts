/** A change of a text: what stands from `at` on for `remove` characters gives way to `insert`. */
interface Edit {
  readonly at: number;
  readonly remove: number;
  readonly insert: string;
}

/** Changes of a text, collected before any is made, so that all places are those of the text as it is. */
export class TextEdits {
  readonly text: string;
  /** The line break that the text uses. */
  readonly newline: '\n' | '\r\n';
  readonly #edits: Edit[] = [];

  constructor(text: string) {
    this.text = text;
    this.newline = text.includes('\r\n') ? '\r\n' : '\n';
  }

  /** Inserts go in the order in which they are asked for. */
  insert(at: number, insert: string): void {
    this.#edits.push({ at, remove: 0, insert });
  }

  remove(at: number, length: number): void {
    this.#edits.push({ at, remove: length, insert: '' });
  }

  /** Puts whole lines after the line in which `offset` is, or in front of it when it starts one. */
  insertLines(offset: number, lines: readonly string[]): void {
    const { text, newline } = this;
    const block = lines.map((line) => line + newline).join('');
    if (offset > 0 && text[offset - 1] === '\n') {
      this.insert(offset, block);
      return;
    }
    const end = text.indexOf('\n', offset);
    // The last line has no line break of its own, and is to have none after.
    if (end === -1) this.insert(text.length, newline + block.slice(0, -newline.length));
    else this.insert(end + 1, block);
  }

  /** Column of an offset, from 0. */
  column(offset: number): number {
    return offset - (this.text.lastIndexOf('\n', offset - 1) + 1);
  }

  /** White space at the start of the line, when nothing else is in front of the offset; else null. */
  indentBefore(offset: number): string | null {
    const before = this.text.slice(this.text.lastIndexOf('\n', offset - 1) + 1, offset);
    return /^[ \t]*$/u.test(before) ? before : null;
  }

  apply(): string {
    const { text } = this;
    const sorted = this.#edits
      .map((edit, order) => ({ ...edit, order }))
      .sort((a, b) => a.at - b.at || a.order - b.order);
    const parts: string[] = [];
    let at = 0;
    for (const edit of sorted) {
      parts.push(text.slice(at, edit.at), edit.insert);
      at = edit.at + edit.remove;
    }
    parts.push(text.slice(at));
    return parts.join('');
  }
}
