import { existsSync, statSync } from 'node:fs';
import { availableParallelism } from 'node:os';
import { fileURLToPath } from 'node:url';
import {
  digestStream,
  hashWasmEngine,
  type DigestEngine,
  type FileDigester,
  type StreamDigests,
} from '@firmtally/core';
import { toNative } from '../folder/native-path.js';
import type { HostFiles } from '../folder/open-folder.js';
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

export interface DigesterOptions {
  /** Threads at most; 1 means the main thread only. Default: {@link defaultJobs}. */
  readonly jobs?: number;
  /** Default: {@link nativeEngine}. Any engine but it and hashWasmEngine works on the main thread only. */
  readonly engine?: DigestEngine;
}

/**
 * Digests files of a folder, spread over worker threads once there is enough
 * to do. Throws ReadError for a file that cannot be read, or that changed.
 * `close` ends the threads; without it they end with the process.
 */
export function createDigester(
  files: HostFiles,
  options: DigesterOptions = {},
): FileDigester & { close(): Promise<void> } {
  const engine = options.engine ?? nativeEngine;
  const engineName = nameOf(engine);
  const jobs = options.jobs ?? defaultJobs();
  const script = jobs > 1 && engineName !== null ? workerScript() : null;
  const local = new Turns(MAX_LOCAL);
  let pool: WorkerPool | null = null;
  let total = 0;

  return {
    async digestFile(path, algorithms, onBytes) {
      if (engineName === null) {
        return local.take(() => digestStream(files.open(path), algorithms, engine, onBytes));
      }
      const task: DigestTask = {
        path: files.absolute(path),
        root: files.confinedTo,
        algorithms,
        engine: engineName,
      };
      const size = sizeOf(task.path);
      total += size;
      if (script !== null && total >= WORTH_A_THREAD) pool ??= new WorkerPool(script, jobs);
      const result = pool === null ? null : await runInPool(pool, task, size, onBytes);
      return result ?? local.take(() => runTask(task, onBytes));
    },
    close: async () => pool?.close(),
  };
}

/** Null when the threads failed, so that the caller does the task itself. */
async function runInPool(
  pool: WorkerPool,
  task: DigestTask,
  size: number,
  onBytes: ((count: number) => void) | undefined,
): Promise<StreamDigests | null> {
  let reported = 0;
  try {
    return await pool.run(task, size, (count) => {
      reported += count;
      onBytes?.(count);
    });
  } catch (error) {
    if (!(error instanceof WorkerLost)) throw error;
    if (reported > 0) onBytes?.(-reported); // the file starts again
    return null;
  }
}

function nameOf(engine: DigestEngine): EngineName | null {
  if (engine === nativeEngine) return 'native';
  return engine === hashWasmEngine ? 'hash-wasm' : null;
}

/** Bytes, as a hint how much work a file is; 0 when unknown: reading it then says what is wrong. */
function sizeOf(path: string): number {
  try {
    return statSync(toNative(path), { throwIfNoEntry: false })?.size ?? 0;
  } catch {
    return 0;
  }
}

/** The worker's script: beside this module, or above it when a bundler put this into its chunks folder. Null in TypeScript source. */
function workerScript(): URL | null {
  const candidates = ['./digest-worker.js', '../digest-worker.js'];
  const urls = candidates.map((name) => new URL(name, import.meta.url));
  return urls.find((url) => url.protocol === 'file:' && existsSync(fileURLToPath(url))) ?? null;
}

/** Lets at most `limit` tasks run at once. */
class Turns {
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
