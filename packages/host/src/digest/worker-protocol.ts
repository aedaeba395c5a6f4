import type { Algorithm, ReadError, StreamDigests } from '@firmtally/core';

/** Engines a worker can be told to use; functions do not travel between threads. */
export type EngineName = 'native' | 'hash-wasm';

/** One file to digest. */
export interface DigestTask {
  /** Absolute, decoded. */
  readonly path: string;
  /** See HostFiles.confinedTo. */
  readonly root: string | null;
  readonly algorithms: readonly Algorithm[];
  readonly engine: EngineName;
}

/** Main thread to worker: a task, or that one it was given is no longer wanted. */
export type ToWorker =
  { readonly id: number; readonly task: DigestTask } | { readonly id: number; readonly stop: true };

/** Worker to main thread: bytes done since the last message, then how it ended. */
export interface ReplyMessage {
  readonly id: number;
  readonly bytes: number;
  readonly end?:
    | { readonly done: StreamDigests }
    | { readonly fault: Pick<ReadError, 'code' | 'message' | 'kind'> };
}
