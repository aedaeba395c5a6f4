import { statSync } from 'node:fs';
import { availableParallelism } from 'node:os';
import {
  digestStream,
  hashWasmEngine,
  type ContentSource,
  type DigestEngine,
  type DigestOptions,
  type StreamDigests,
} from '@firmtally/core';
import { orAborted } from '@firmtally/core/internal';
import { toNative } from '../folder/native-path.js';
import type { HostFiles } from '../folder/named-files.js';
import { runTask } from './digest-task.js';
import { nativeEngine } from './native-engine.js';
import { WorkerLost, WorkerPool } from './worker-pool.js';
import type { DigestTask, EngineName } from './worker-protocol.js';

/**
 * Bytes asked for in total from which on threads are used. Starting one costs
 * some 50 ms, in which the main thread hashes about this much (measured).
 */
const WORTH_A_THREAD = 16 << 20;

/** Threads by default at most; a card reader gains nothing from more. */
const MAX_DEFAULT_JOBS = 8;

/** Threads when nobody says how many: the CPUs this process may use, at most 8. */
export function defaultJobs(): number {
  return Math.min(MAX_DEFAULT_JOBS, availableParallelism());
}

/** Files read at once on the main thread. */
const MAX_LOCAL = 4;

/** How files are hashed. */
export interface DigesterOptions {
  /** Threads that hash, at most; 1 means the main thread only. Default: the CPUs this process may use, at most 8. */
  readonly jobs?: number | undefined;
  /** Default: {@link nativeEngine}. Any engine but it and hashWasmEngine works on the main thread only. */
  readonly engine?: DigestEngine | undefined;
  /** Told once, in one sentence, when no thread can be started and the work goes on without. What it throws, the task rejects with. */
  readonly onNotice?: ((notice: string) => void) | undefined;
}

/** Hashes files on threads. */
export interface HostDigester {
  digestFile: NonNullable<ContentSource['digestFile']>;
  /** Ends the threads and rejects what is not done. Without it they end with the process. */
  close(): Promise<void>;
}

/**
 * Digests files of a folder, spread over worker threads once there is enough
 * to do. Throws ReadError for a file that cannot be read, or that changed.
 */
export function createDigester(files: HostFiles, options: DigesterOptions = {}): HostDigester {
  const engine = options.engine ?? nativeEngine;
  const engineName = nameOf(engine);
  const jobs = options.jobs ?? defaultJobs();
  const local = new Semaphore(MAX_LOCAL);
  const closing = new AbortController();
  let starting: Promise<WorkerPool | null> | null = null;
  let noticed = false;
  let total = 0;

  /** On this thread. */
  const runHere = (
    run: (options: DigestOptions) => Promise<StreamDigests>,
    { onBytes, signal }: DigestOptions,
  ): Promise<StreamDigests> => {
    const running = local.take(() => {
      closing.signal.throwIfAborted();
      signal?.throwIfAborted();
      const count = (bytes: number): void => {
        closing.signal.throwIfAborted();
        onBytes?.(bytes);
      };
      return run({ onBytes: count, signal });
    });
    return orAborted(orAborted(running, signal), closing.signal);
  };

  /** Null when the threads failed. */
  const runInPool = async (
    threads: WorkerPool,
    task: DigestTask,
    size: number,
    { onBytes, signal }: DigestOptions,
  ): Promise<StreamDigests | null> => {
    let reported = 0;
    const count = (bytes: number): void => {
      reported += bytes;
      onBytes?.(bytes);
    };
    try {
      return await threads.run(task, size, { onBytes: count, signal });
    } catch (error) {
      if (!(error instanceof WorkerLost)) throw error;
      if (threads.isLost && !noticed) {
        noticed = true;
        options.onNotice?.(NO_THREADS);
      }
      if (reported > 0) onBytes?.(-reported); // the file starts again
      return null;
    }
  };

  return {
    async digestFile(path, algorithms, wanted = {}) {
      closing.signal.throwIfAborted();
      if (engineName === null) {
        return runHere((own) => digestStream(files.open(path), algorithms, engine, own), wanted);
      }
      const task: DigestTask = {
        path: files.absolute(path),
        root: files.confinedTo,
        algorithms,
        engine: engineName,
      };
      const size = sizeOf(task.path);
      total += size;
      if (jobs > 1 && total >= WORTH_A_THREAD) starting ??= startPool(jobs);
      const pool = await starting;
      const result = pool === null ? null : await runInPool(pool, task, size, wanted);
      return result ?? runHere((own) => runTask(task, own), wanted);
    },
    close: async () => {
      const reason = new DOMException('The digester was closed.', 'AbortError');
      closing.abort(reason);
      await (await starting)?.close(reason);
    },
  };
}

/** The same for a folder that outlives the work on it: threads start when there is something to hash, again after `close`. */
export function restartingDigester(files: HostFiles, options: DigesterOptions): HostDigester {
  let current: HostDigester | null = null;
  return {
    digestFile: (...args) => (current ??= createDigester(files, options)).digestFile(...args),
    close: async () => {
      const closing = current;
      current = null;
      await closing?.close();
    },
  };
}

/** Null in TypeScript source, where the worker is not built. */
async function startPool(jobs: number): Promise<WorkerPool | null> {
  // Large, and seldom wanted.
  const { WORKER_SOURCE } = await import('./worker-source.js');
  return WORKER_SOURCE === null ? null : new WorkerPool(WORKER_SOURCE, jobs);
}

const NO_THREADS =
  'This system starts no thread for the work, so files are read on the main thread; it takes longer.';

function nameOf(engine: DigestEngine): EngineName | null {
  if (engine === nativeEngine) return 'native';
  return engine === hashWasmEngine ? 'hash-wasm' : null;
}

/** Bytes, as a hint how much work a file is; 0 when unknown: reading it then says what is wrong. */
export function sizeOf(path: string): number {
  try {
    return statSync(toNative(path), { throwIfNoEntry: false })?.size ?? 0;
  } catch {
    return 0;
  }
}

/** Lets at most `limit` tasks run at once. */
class Semaphore {
  #free: number;
  readonly #waiting: (() => void)[] = [];

  constructor(limit: number) {
    this.#free = limit;
  }

  async take<T>(task: () => Promise<T>): Promise<T> {
    if (this.#free > 0) this.#free -= 1;
    else await new Promise<void>((resolve) => this.#waiting.push(resolve));
    try {
      return await task();
    } finally {
      const next = this.#waiting.shift();
      if (next === undefined) this.#free += 1;
      else next();
    }
  }
}
