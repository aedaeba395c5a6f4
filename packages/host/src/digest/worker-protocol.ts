import type { Algorithm, FaultCode, StreamDigests } from '@firmtally/core';

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

/** Main thread to worker. */
export interface TaskMessage {
  readonly id: number;
  readonly task: DigestTask;
}

/** Worker to main thread: bytes done since the last message, then how it ended. */
export interface ReplyMessage {
  readonly id: number;
  readonly bytes: number;
  readonly end?:
    | { readonly ok: true; readonly result: StreamDigests }
    | { readonly ok: false; readonly code: FaultCode; readonly message: string };
}
