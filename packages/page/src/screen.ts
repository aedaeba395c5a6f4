import { byId, make, showText } from './dom.js';

/** What the result is of: when that changes, the result goes. */
export type Shown = 'manifest' | 'card' | 'pile';

/** What the page says and shows, and what it offers to save. */
export class Screen {
  readonly #result = byId('result', HTMLDivElement);
  readonly #status = byId('status', HTMLParagraphElement);
  readonly #heard = byId('heard', HTMLParagraphElement);
  readonly #downloads = byId('downloads', HTMLParagraphElement);
  readonly #start = [...this.#result.childNodes];
  #shown: Shown | null = null;

  /** One sentence, which a screen reader says too; '' takes the last one away. */
  say(text: string): void {
    showText(this.#status, text);
  }

  /** Said to a screen reader only: who sees the result sees it there. */
  tell(text: string): void {
    showText(this.#heard, text);
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
    const title = this.#result.querySelector('h1');
    if (title !== null) title.tabIndex = -1;
    title?.focus({ preventScroll: true });
  }

  /** Takes away a result of something that is there no more. */
  forget(...what: readonly Shown[]): void {
    if (this.#shown === null || !what.includes(this.#shown)) return;
    this.#result.replaceChildren(...this.#start);
    this.#offer([]);
    this.#shown = null;
  }

  #offer(downloads: readonly Node[]): void {
    const note = make(
      'span',
      'What is saved has everything, also what is too long for this page.',
      {
        class: 'soft',
      },
    );
    this.#downloads.replaceChildren(...downloads, note);
    this.#downloads.hidden = downloads.length === 0;
  }
}
