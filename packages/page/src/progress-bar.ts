import type { TaskProgress } from '@firmtally/core';
import { byteCount, count } from '@firmtally/core/internal';
import { byId, showText } from './dom.js';

/** Milliseconds between two sentences for who cannot see the bar: more often they would only disturb. Own choice. */
const TELL_EVERY = 10_000;

/** Milliseconds after which the bar appears: what is done sooner only makes the page jump. Own choice. */
const SHOW_AFTER = 150;

/** The progress bar and the button that stops what is under way. */
export class ProgressBar {
  readonly #box = byId('progress', HTMLDivElement);
  readonly #bar = byId('bar', HTMLProgressElement);
  readonly #text = byId('progress-text', HTMLParagraphElement);
  readonly #stop = byId('stop', HTMLButtonElement);
  readonly #heard = byId('heard', HTMLParagraphElement);
  #told = 0;
  #abort: AbortController | null = null;

  constructor() {
    this.#stop.addEventListener('click', () => {
      this.#abort?.abort(new DOMException('You stopped it; nothing was changed.', 'AbortError'));
    });
  }

  /** Shows the bar while `work` goes on. */
  async during<T>(
    work: (signal: AbortSignal, show: (progress: TaskProgress) => void) => Promise<T>,
  ): Promise<T> {
    const abort = (this.#abort = new AbortController());
    this.#bar.removeAttribute('value');
    this.#text.textContent = 'Looking at what is there …';
    this.#told = Date.now();
    const appearing = setTimeout(() => {
      this.#box.hidden = false;
      this.#heard.textContent = 'Working …';
    }, SHOW_AFTER);
    try {
      return await work(abort.signal, (progress) => this.#show(progress));
    } finally {
      clearTimeout(appearing);
      this.#box.hidden = true;
      this.#heard.textContent = '';
      this.#abort = null;
    }
  }

  #show({ phase, files, totalFiles, bytes, totalBytes }: TaskProgress): void {
    const share = part(bytes, totalBytes) ?? part(files, totalFiles);
    if (share === null) this.#bar.removeAttribute('value');
    else this.#bar.value = share;
    const percent = share === null ? '' : `${String(Math.floor(share * 100))} %, `;
    const of =
      totalBytes !== null
        ? ` of ${byteCount(totalBytes)}`
        : totalFiles !== null
          ? ` of ${String(totalFiles)}`
          : '';
    const done = bytes === 0 && totalBytes === null ? count(files, 'file') : byteCount(bytes);
    const text = `${PHASES[phase]}: ${percent}${done}${of}`;
    showText(this.#text, text);
    const now = Date.now();
    if (Math.abs(now - this.#told) < TELL_EVERY) return;
    this.#told = now;
    showText(this.#heard, text);
  }
}

function part(done: number, all: number | null): number | null {
  return all === null || all === 0 ? null : Math.min(1, done / all);
}

const PHASES: Readonly<Record<TaskProgress['phase'], string>> = {
  list: 'Looking at what is there',
  read: 'Reading',
  diagnose: 'Finding out what is wrong',
  place: 'Placing',
};
