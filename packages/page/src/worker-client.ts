import type { OnProgress } from '@firmtally/core';
import workerSource from 'firmtally:task-worker';
import type { Picked } from './folder/dropped.js';
import type { FilesNeeded, Place, Reply, Request, TaskName, Tasks } from './worker/protocol.js';

/** What a task that goes on for a while takes. */
export interface AskOptions {
  readonly signal?: AbortSignal;
  readonly onProgress?: OnProgress;
}

interface Waiting {
  readonly resolve: (answer: never) => void;
  readonly reject: (error: unknown) => void;
  readonly onProgress: OnProgress | undefined;
}

/** The page's worker, asked for one task after another. */
export class WorkerClient {
  readonly #worker: Worker;
  readonly #waiting = new Map<number, Waiting>();
  readonly #held = new Map<
    Place,
    { readonly folder: number; readonly files: readonly Picked['file'][] }
  >();
  #folders = 0;
  #nextId = 0;

  constructor() {
    const url = URL.createObjectURL(new Blob([workerSource], { type: 'text/javascript' }));
    this.#worker = new Worker(url);
    this.#worker.addEventListener('message', ({ data }: MessageEvent<Reply>) => this.#heard(data));
    this.#worker.addEventListener('error', (event) => {
      const reason = new Error(`The page's worker failed (${event.message}): load the page again.`);
      for (const { reject } of this.#waiting.values()) reject(reason);
      this.#waiting.clear();
    });
  }

  /** Keeps files for the worker, in place of those kept before; gives what it asks for them by. */
  hold(place: Place, files: readonly Picked['file'][]): number {
    const folder = this.#folders++;
    this.#held.set(place, { folder, files });
    return folder;
  }

  /** Rejects with an Error of one sentence; with the signal's reason at once, whatever the worker is at. */
  ask<Name extends TaskName>(
    task: Name,
    input: Tasks[Name]['input'],
    { signal, onProgress }: AskOptions = {},
  ): Promise<Tasks[Name]['answer']> {
    const id = this.#nextId++;
    return new Promise<Tasks[Name]['answer']>((resolve, reject) => {
      signal?.throwIfAborted();
      const stop = (): void => {
        this.#post({ id, stop: true });
        this.#waiting.delete(id);
        reject(signal?.reason as Error);
      };
      const ended =
        <Value>(settle: (value: Value) => void) =>
        (value: Value): void => {
          signal?.removeEventListener('abort', stop);
          settle(value);
        };
      this.#waiting.set(id, { resolve: ended(resolve), reject: ended(reject), onProgress });
      signal?.addEventListener('abort', stop);
      this.#post({ id, task, input } as Request);
    });
  }

  #post(request: Request): void {
    this.#worker.postMessage(request);
  }

  async #give(id: number, { folder, indexes }: FilesNeeded): Promise<void> {
    const held = [...this.#held.values()].find((each) => each.folder === folder);
    const given = indexes.map(async (index) => {
      const file = held?.files[index];
      // What is gone by now, the worker says of the file that it is about.
      return typeof file === 'function' ? file().catch(() => null) : (file ?? null);
    });
    this.#post({ id, given: await Promise.all(given) });
  }

  #heard(reply: Reply): void {
    if ('needed' in reply) {
      void this.#give(reply.id, reply.needed);
      return;
    }
    const waiting = this.#waiting.get(reply.id);
    if (waiting === undefined) return; // stopped
    if ('progress' in reply) {
      waiting.onProgress?.(reply.progress);
      return;
    }
    this.#waiting.delete(reply.id);
    if ('failed' in reply) waiting.reject(new Error(reply.failed));
    else waiting.resolve(reply.answer as never);
  }
}
