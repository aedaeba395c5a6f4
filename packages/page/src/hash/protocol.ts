import type { Algorithm, FaultCode, StreamDigests } from '@firmtally/core';

/** Asks a worker for the digests of one file. */
export interface Job {
  readonly id: number;
  readonly file: Blob;
  readonly algorithms: readonly Algorithm[];
}

/** What a worker says of a job: how many more bytes are done, and how it ended. */
export type Reply =
  | { readonly id: number; readonly bytes: number }
  | { readonly id: number; readonly done: StreamDigests }
  | { readonly id: number; readonly fault: { readonly code: FaultCode; readonly message: string } };
