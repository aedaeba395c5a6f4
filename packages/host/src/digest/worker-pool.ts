import { Worker } from 'node:worker_threads';
import { ReadError, type StreamDigests } from '@firmtally/core';
import type { DigestTask, ReplyMessage, TaskMessage } from './worker-protocol.js';

/** Small files a worker gets at once, so that it never waits for the next message. */
const MAX_TASKS = 8;

/** Bytes up to which files count as small together. */
const SMALL = 1 << 20;

interface Job {
  readonly task: DigestTask;
  /** Bytes. */
  readonly size: number;
  readonly onBytes: ((count: number) => void) | undefined;
  readonly resolve: (result: StreamDigests) => void;
  readonly reject: (error: unknown) => void;
}

interface Slot {
  readonly worker: Worker;
  readonly jobs: Map<number, Job>;
  bytes: number;
}

/** Thrown to every open job when a worker dies; the files can still be read on the main thread. */
export class WorkerLost extends Error {
  override readonly name = 'WorkerLost';
}

/** Spreads tasks over at most `size` worker threads, started when they are needed. */
export class WorkerPool {
  readonly #script: URL;
  readonly #size: number;
  readonly #slots: Slot[] = [];
  readonly #queue: Job[] = [];
  #next = 0;
  #closed = false;

  constructor(script: URL, size: number) {
    this.#script = script;
    this.#size = size;
  }

  /** Digests one file of about `size` bytes. Throws ReadError, or WorkerLost when the threads fail. */
  run(task: DigestTask, size: number, onBytes?: (count: number) => void): Promise<StreamDigests> {
    return new Promise((resolve, reject) => {
      if (this.#closed) {
        reject(new WorkerLost('the worker threads have ended'));
        return;
      }
      this.#queue.push({ task, size, onBytes, resolve, reject });
      this.#dispatch();
    });
  }

  /** Ends all threads; open jobs are rejected. */
  async close(): Promise<void> {
    this.#closed = true;
    this.#rejectAll(new WorkerLost('the worker threads have ended'));
    await Promise.all(this.#slots.splice(0).map(({ worker }) => worker.terminate()));
  }

  #dispatch(): void {
    for (let job = this.#queue[0]; job !== undefined; job = this.#queue[0]) {
      const slot = this.#slotFor(job);
      if (slot === null) return;
      this.#queue.shift();
      this.#start(slot, job);
    }
  }

  #slotFor(job: Job): Slot | null {
    const idle = this.#slots.find(({ jobs }) => jobs.size === 0);
    if (idle !== undefined) return idle;
    if (this.#slots.length < this.#size) return this.#spawn();
    const roomy = ({ jobs, bytes }: Slot): boolean =>
      jobs.size < MAX_TASKS && bytes + job.size <= SMALL;
    return this.#slots.find(roomy) ?? null;
  }

  #start(slot: Slot, job: Job): void {
    const id = this.#next++;
    slot.jobs.set(id, job);
    slot.bytes += job.size;
    slot.worker.ref();
    slot.worker.postMessage({ id, task: job.task } satisfies TaskMessage);
  }

  #spawn(): Slot {
    const worker = new Worker(this.#script);
    const slot: Slot = { worker, jobs: new Map(), bytes: 0 };
    worker.on('message', (reply: ReplyMessage) => this.#receive(slot, reply));
    worker.on('error', (error) => this.#lose(error));
    worker.on('exit', () => this.#lose(null));
    this.#slots.push(slot);
    return slot;
  }

  #receive(slot: Slot, reply: ReplyMessage): void {
    const job = slot.jobs.get(reply.id);
    if (job === undefined) return;
    if (reply.bytes > 0) job.onBytes?.(reply.bytes);
    if (reply.end === undefined) return;
    slot.jobs.delete(reply.id);
    slot.bytes -= job.size;
    // An idle worker must not keep the process alive.
    if (slot.jobs.size === 0) slot.worker.unref();
    if (reply.end.ok) job.resolve(reply.end.result);
    else job.reject(new ReadError(reply.end.code, reply.end.message));
    this.#dispatch();
  }

  #lose(cause: unknown): void {
    if (this.#closed) return;
    this.#closed = true;
    this.#rejectAll(new WorkerLost('a worker thread failed', { cause }));
    for (const { worker } of this.#slots.splice(0)) void worker.terminate();
  }

  #rejectAll(error: WorkerLost): void {
    const open = this.#slots.flatMap(({ jobs }) => [...jobs.values()]);
    for (const { jobs } of this.#slots) jobs.clear();
    for (const job of [...open, ...this.#queue.splice(0)]) job.reject(error);
  }
}
