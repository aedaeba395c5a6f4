/** What a task is doing. `list`: finding out what there is; the others work through files. */
export type TaskPhase = 'list' | 'read' | 'diagnose' | 'place';

/** How far a task is; the same for every task of the library. */
export interface TaskProgress {
  readonly phase: TaskPhase;
  /** Files done in this phase; what was found so far while it is `list`. */
  readonly files: number;
  /** Files of this phase; null while nobody knows. May grow as more turn out to matter. */
  readonly totalFiles: number | null;
  /** Bytes done in this phase. Goes back when a file has to be read again. */
  readonly bytes: number;
  /** Bytes of this phase; null while nobody knows. May grow. */
  readonly totalBytes: number | null;
  /** Bytes a second over the last five seconds; null in the first half second of a phase. */
  readonly bytesPerSecond: number | null;
  /** The file worked on last, as its source names it (untrusted text); null before the first. */
  readonly path: string | null;
}

/** Told how far a task is. What it throws, the task rejects with. */
export type OnProgress = (progress: TaskProgress) => void;

/** Given to every task of the library. */
export interface TaskOptions {
  /** Stops the task, which then rejects with the signal's reason. */
  readonly signal?: AbortSignal | undefined;
  /** Told how far it is. What it throws, the task rejects with. */
  readonly onProgress?: OnProgress | undefined;
}

/** Milliseconds over which the rate is taken. */
const WINDOW = 5000;

/** Milliseconds between two samples of it. */
const STEP = 500;

/** Counts what is done and tells it; every task counts through one of these. */
export class ProgressCount {
  readonly #tell: OnProgress | undefined;
  readonly #clock: () => number;
  #phase: TaskPhase = 'list';
  #files = 0;
  #totalFiles: number | null = null;
  #bytes = 0;
  #totalBytes: number | null = null;
  #path: string | null = null;
  #samples: { readonly at: number; readonly bytes: number }[] = [];

  /** @param clock ms since any fixed moment */
  constructor(tell: OnProgress | undefined, clock: () => number = Date.now) {
    this.#tell = tell;
    this.#clock = clock;
  }

  /** Begins a phase: everything counts from 0. */
  start(phase: TaskPhase, total: { readonly files?: number; readonly bytes?: number } = {}): void {
    this.#phase = phase;
    this.#files = 0;
    this.#bytes = 0;
    this.#totalFiles = total.files ?? null;
    this.#totalBytes = total.bytes ?? null;
    this.#path = null;
    this.#samples = [{ at: this.#clock(), bytes: 0 }];
    this.#report();
  }

  /** So many more files were listed. */
  found(files: number): void {
    this.#files += files;
    this.#report();
  }

  /** One more file, of so many bytes, belongs to this phase. */
  expect(bytes: number): void {
    this.#totalFiles = (this.#totalFiles ?? 0) + 1;
    this.#totalBytes = (this.#totalBytes ?? 0) + bytes;
    this.#report();
  }

  /** So many more bytes of a file are done; negative when they are to be read again. */
  advance(bytes: number, path: string | null = this.#path): void {
    this.#bytes += bytes;
    this.#path = path;
    this.#report();
  }

  /** A file is done. */
  done(path: string | null = this.#path): void {
    this.#files += 1;
    this.#path = path;
    this.#report();
  }

  #report(): void {
    if (this.#tell === undefined) return;
    this.#tell({
      phase: this.#phase,
      files: this.#files,
      totalFiles: this.#totalFiles,
      bytes: this.#bytes,
      totalBytes: this.#totalBytes,
      bytesPerSecond: this.#rate(),
      path: this.#path,
    });
  }

  #rate(): number | null {
    const now = this.#clock();
    const samples = this.#samples;
    const last = samples.at(-1);
    // A clock that was set back starts the measuring anew.
    if (last === undefined || now < last.at) this.#samples = [{ at: now, bytes: this.#bytes }];
    else if (now - last.at >= STEP) samples.push({ at: now, bytes: this.#bytes });
    while (samples.length > 2 && now - (samples[1]?.at ?? now) >= WINDOW) samples.shift();
    const first = this.#samples[0];
    if (first === undefined || now - first.at < STEP) return null;
    return Math.max(0, (1000 * (this.#bytes - first.bytes)) / (now - first.at));
  }
}
