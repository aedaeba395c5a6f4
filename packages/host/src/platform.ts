import type { ArchiveReader, OnProgress, Platform, TaskOptions } from '@firmtally/core';
import { zipReader } from './archive/zip-reader.js';
import { nativeEngine } from './digest/native-engine.js';

/** What Node.js brings along for every task: its own hashes, and a reader of ZIPs. */
export const nodePlatform: Platform & { readonly archives: ArchiveReader } = {
  engine: nativeEngine,
  archives: zipReader,
};

/** What every task on files of this machine takes. */
export interface HostTaskOptions extends TaskOptions {
  /** What paths are relative to; the process's current folder when not given. */
  readonly cwd?: string | undefined;
  /** Threads that hash, at most; as many as the machine suggests when not given. */
  readonly jobs?: number | undefined;
  /** Told once, in one sentence, when no thread can be started and the work goes on without. What it throws, the task rejects with. */
  readonly onNotice?: ((notice: string) => void) | undefined;
  readonly signal?: AbortSignal | undefined;
  readonly onProgress?: OnProgress | undefined;
}
