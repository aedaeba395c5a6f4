import {
  hashWasmEngine,
  ReadError,
  type Algorithm,
  type DigestOptions,
  type FolderSource,
  type OnProgress,
  type Platform,
  type StreamDigests,
} from '@firmtally/core';
import { orAborted } from '@firmtally/core/internal';
import workerSource from 'firmtally:hash-worker';
import { zipArchives } from '../archive/zip-archives.js';
import { tellingLooks, type PickedFolder } from '../folder/picked-folder.js';
import type { Job, Reply } from './protocol.js';

/** What a browser brings along. */
export const browserPlatform: Platform = { engine: hashWasmEngine, archives: zipArchives };

/** Does a task on picked files that are hashed in Web Workers, `jobs` at a time; they end with the task. */
export async function withWorkers<Result>(
  onProgress: OnProgress,
  task: (inWorkers: (picked: PickedFolder) => FolderSource, jobs: number) => Promise<Result>,
): Promise<Result> {
  const pool = new HashPool();
  const inWorkers = (picked: PickedFolder): FolderSource => ({
    ...tellingLooks(picked, onProgress),
    digestFile: async (path, algorithms, options) =>
      pool.digest(await picked.fileAt(path), algorithms, options),
  });
  try {
    return await task(inWorkers, pool.workers);
  } finally {
    pool.close();
  }
}

/** More workers than this only make a card reader seek. Own choice. */
const MAX_WORKERS = 8;

interface Waiting {
  readonly job: Job;
  readonly onBytes: ((count: number) => void) | undefined;
  resolve(digests: StreamDigests): void;
  reject(error: unknown): void;
}

/** Digests picked files in Web Workers, one file each at a time. `close` ends them; what is under way is rejected. */
class HashPool {
  readonly #url = URL.createObjectURL(new Blob([workerSource], { type: 'text/javascript' }));
  readonly #queue: Waiting[] = [];
  readonly #busy = new Map<Worker, Waiting>();
  readonly #idle: Worker[] = [];
  readonly #limit = Math.min(MAX_WORKERS, Math.max(1, navigator.hardwareConcurrency));
  #nextId = 0;
  #closed: Error | null = null;

  digest(
    file: Blob,
    algorithms: readonly Algorithm[],
    { onBytes, signal }: DigestOptions = {},
  ): Promise<StreamDigests> {
    const digests = new Promise<StreamDigests>((resolve, reject) => {
      if (this.#closed !== null) {
        reject(this.#closed);
        return;
      }
      const job = { id: this.#nextId++, file, algorithms };
      this.#queue.push({ job, onBytes, resolve, reject });
      this.#next();
    });
    return orAborted(digests, signal);
  }

  /** How many files are hashed at the same time. */
  get workers(): number {
    return this.#limit;
  }

  close(reason: Error = new Error('The hashing was stopped.')): void {
    this.#closed = reason;
    for (const waiting of [...this.#busy.values(), ...this.#queue]) waiting.reject(reason);
    for (const worker of [...this.#busy.keys(), ...this.#idle]) worker.terminate();
    this.#busy.clear();
    this.#queue.length = 0;
    this.#idle.length = 0;
    URL.revokeObjectURL(this.#url);
  }

  #next(): void {
    while (this.#queue.length > 0 && this.#busy.size < this.#limit) {
      const waiting = this.#queue.shift();
      if (waiting === undefined) return;
      const worker = this.#idle.pop() ?? this.#start();
      this.#busy.set(worker, waiting);
      worker.postMessage(waiting.job);
    }
  }

  #start(): Worker {
    const worker = new Worker(this.#url);
    worker.addEventListener('message', ({ data }: MessageEvent<Reply>) =>
      this.#heard(worker, data),
    );
    worker.addEventListener('error', (event) => {
      const waiting = this.#busy.get(worker);
      this.#busy.delete(worker);
      worker.terminate();
      waiting?.reject(new Error(`A worker of the page failed: ${event.message}`));
      this.#next();
    });
    return worker;
  }

  #heard(worker: Worker, reply: Reply): void {
    const waiting = this.#busy.get(worker);
    if (waiting === undefined || waiting.job.id !== reply.id) return;
    if ('bytes' in reply) {
      try {
        waiting.onBytes?.(reply.bytes);
      } catch (error) {
        waiting.reject(error);
      }
      return;
    }
    this.#busy.delete(worker);
    this.#idle.push(worker);
    if ('done' in reply) waiting.resolve(reply.done);
    else waiting.reject(new ReadError(reply.fault.code, reply.fault.message));
    this.#next();
  }
}
