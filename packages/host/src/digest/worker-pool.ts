import { Worker } from 'node:worker_threads';
import { ReadError, type DigestOptions, type StreamDigests } from '@firmtally/core';
import { onAbort } from '@firmtally/core/internal';
import type { DigestTask, ReplyMessage, ToWorker } from './worker-protocol.js';

/** Small files a worker gets at once, so that it never waits for the next message. */
const MAX_TASKS = 8;

/** Bytes up to which files count as small together. */
const SMALL = 1 << 20;

/** Ms that `close` waits for threads to end: one that is stuck in a read ends only when the drive answers. */
const PATIENCE = 150;

interface Job {
  readonly task: DigestTask;
  /** Bytes. */
  readonly size: number;
  readonly onBytes: ((count: number) => void) | undefined;
  resolve(result: StreamDigests): void;
  reject(error: Error): void;
}

interface Slot {
  readonly worker: Worker;
  readonly jobs: Map<number, Job>;
  bytes: number;
}

/** A worker died, or none could be started; the file can still be read on the main thread. */
export class WorkerLost extends Error {
  override readonly name = 'WorkerLost';
}

/** Spreads tasks over at most `size` worker threads, started when they are needed. */
export class WorkerPool {
  readonly #script: URL | string;
  /** Threads at most; fewer once one could not be started or died. */
  #size: number;
  readonly #slots: Slot[] = [];
  readonly #queue = new Set<Job>();
  readonly #closing = new AbortController();
  #lost: WorkerLost | null = null;
  #next = 0;

  /** @param script where it is, or CommonJS itself */
  constructor(script: URL | string, size: number) {
    this.#script = script;
    this.#size = size;
  }

  /**
   * Digests one file of about `size` bytes. Throws ReadError; what `onBytes`
   * throws; the signal's reason; WorkerLost when the threads fail; after
   * {@link close} the reason that was given there.
   */
  run(
    task: DigestTask,
    size: number,
    { onBytes, signal }: DigestOptions = {},
  ): Promise<StreamDigests> {
    return new Promise((resolve, reject) => {
      signal?.throwIfAborted();
      this.#closing.signal.throwIfAborted();
      const job: Job = {
        task,
        size,
        onBytes,
        resolve: (result) => {
          listening?.();
          resolve(result);
        },
        reject: (error) => {
          listening?.();
          reject(error);
        },
      };
      const listening = signal && onAbort(signal, () => this.#drop(job, signal.reason));
      this.#queue.add(job);
      this.#dispatch();
    });
  }

  /** Whether no thread is left and none will be started. */
  get isLost(): boolean {
    return this.#size === 0;
  }

  /** Rejects open jobs with `reason` and ends all threads. */
  async close(reason: Error): Promise<void> {
    this.#closing.abort(reason);
    this.#rejectAll(reason);
    const ended = Promise.all(this.#slots.splice(0).map(({ worker }) => worker.terminate()));
    let timer: NodeJS.Timeout | undefined;
    const late = new Promise((resolve) => (timer = setTimeout(resolve, PATIENCE)));
    await Promise.race([ended, late]);
    clearTimeout(timer);
  }

  #dispatch(): void {
    for (const job of this.#queue) {
      const slot = this.#slotFor(job);
      if (slot === null) {
        // Without a thread nothing in the queue would ever be done.
        if (this.#slots.length === 0) this.#rejectAll(this.#lost ?? new WorkerLost('no thread'));
        return;
      }
      this.#queue.delete(job);
      this.#start(slot, job);
    }
  }

  #slotFor(job: Job): Slot | null {
    const idle = this.#slots.find(({ jobs }) => jobs.size === 0);
    if (idle !== undefined) return idle;
    const fresh = this.#slots.length < this.#size ? this.#spawn() : null;
    if (fresh !== null) return fresh;
    const roomy = ({ jobs, bytes }: Slot): boolean =>
      jobs.size < MAX_TASKS && bytes + job.size <= SMALL;
    return this.#slots.find(roomy) ?? null;
  }

  #start(slot: Slot, job: Job): void {
    const id = this.#next++;
    slot.jobs.set(id, job);
    slot.bytes += job.size;
    slot.worker.ref();
    slot.worker.postMessage({ id, task: job.task } satisfies ToWorker);
  }

  /** Null when the system gives no further thread; the work goes on with those there are. */
  #spawn(): Slot | null {
    try {
      const worker = new Worker(this.#script, { eval: typeof this.#script === 'string' });
      const slot: Slot = { worker, jobs: new Map(), bytes: 0 };
      worker.on('message', (reply: ReplyMessage) => this.#receive(slot, reply));
      worker.on('error', (error) => this.#lose(slot, error));
      worker.on('exit', () => this.#lose(slot, null));
      this.#slots.push(slot);
      return slot;
    } catch (cause) {
      this.#size = this.#slots.length;
      this.#lost = new WorkerLost('no thread could be started', { cause });
      return null;
    }
  }

  #receive(slot: Slot, reply: ReplyMessage): void {
    const job = slot.jobs.get(reply.id);
    if (job === undefined) return;
    if (reply.end !== undefined) this.#finish(slot, reply.id, job);
    try {
      if (reply.bytes > 0) job.onBytes?.(reply.bytes);
    } catch (error) {
      this.#drop(job, error);
      return;
    }
    if (reply.end === undefined) return;
    if ('done' in reply.end) job.resolve(reply.end.done);
    else {
      const { code, message, kind } = reply.end.fault;
      job.reject(new ReadError(code, message, { kind }));
    }
    this.#dispatch();
  }

  #finish(slot: Slot, id: number, job: Job): void {
    slot.jobs.delete(id);
    slot.bytes -= job.size;
    // An idle worker must not keep the process alive.
    if (slot.jobs.size === 0) slot.worker.unref();
  }

  /** Rejects a job at once; a thread that is at it is told to leave it. */
  #drop(job: Job, reason: unknown): void {
    this.#queue.delete(job);
    for (const slot of this.#slots) {
      for (const [id, running] of slot.jobs) {
        if (running !== job) continue;
        slot.worker.postMessage({ id, stop: true } satisfies ToWorker);
        this.#finish(slot, id, job);
      }
    }
    // Whatever a signal's reason or a callback's error is, it stays what it was.
    job.reject(reason as Error);
    this.#dispatch();
  }

  /** One thread died: its jobs fail, the others go on. It is not replaced, for the next one might die the same way. */
  #lose(slot: Slot, cause: unknown): void {
    const at = this.#slots.indexOf(slot);
    if (at < 0) return;
    this.#slots.splice(at, 1);
    this.#size -= 1;
    this.#lost = new WorkerLost('a worker thread failed', { cause });
    const jobs = [...slot.jobs.values()];
    slot.jobs.clear();
    for (const job of jobs) job.reject(this.#lost);
    void slot.worker.terminate();
    this.#dispatch();
  }

  #rejectAll(error: Error): void {
    const open = this.#slots.flatMap(({ jobs }) => [...jobs.values()]);
    for (const { jobs } of this.#slots) jobs.clear();
    const queued = [...this.#queue];
    this.#queue.clear();
    for (const job of [...open, ...queued]) job.reject(error);
  }
}
