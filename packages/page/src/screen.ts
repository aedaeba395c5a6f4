import { byId, showText } from './dom.js';

/** What the result is of: when that changes, the result goes. */
export type Shown = 'manifest' | 'card' | 'pile';

/** What the page says and shows, and what it offers to save. */
export class Screen {
  readonly #result = byId('result', HTMLDivElement);
  readonly #status = byId('status', HTMLParagraphElement);
  readonly #downloads = byId('downloads', HTMLParagraphElement);
  readonly #start = [...this.#result.childNodes];
  #shown: Shown | null = null;

  /** One sentence, which a screen reader says too; '' takes the last one away. */
  say(text: string): void {
    showText(this.#status, text);
  }

  /** @param html in which every name is escaped; the page's policy lets no script run but its own */
  show(what: Shown, html: string, downloads: readonly Node[]): void {
    this.#result.innerHTML = html;
    this.#offer(downloads);
    this.#shown = what;
  }

  /** On a phone the result stands below what can be seen; the keyboard goes on from there. */
  goToResult(): void {
    this.#result.scrollIntoView();
    this.#result.focus({ preventScroll: true });
  }

  /** Takes away a result of something that is there no more. */
  forget(...what: readonly Shown[]): void {
    if (this.#shown === null || !what.includes(this.#shown)) return;
    this.#result.replaceChildren(...this.#start);
    this.#offer([]);
    this.#shown = null;
  }

  #offer(downloads: readonly Node[]): void {
    this.#downloads.replaceChildren(...downloads);
    this.#downloads.hidden = downloads.length === 0;
  }
}
