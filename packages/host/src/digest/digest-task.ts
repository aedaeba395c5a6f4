import {
  digestStream,
  hashWasmEngine,
  type DigestEngine,
  type DigestOptions,
  type StreamDigests,
} from '@firmtally/core';
import { readRegularFile } from '../folder/read-file.js';
import { nativeEngine } from './native-engine.js';
import type { DigestTask, EngineName } from './worker-protocol.js';

const ENGINES: Readonly<Record<EngineName, DigestEngine>> = {
  native: nativeEngine,
  'hash-wasm': hashWasmEngine,
};

/** Does one task on this thread. Throws ReadError. */
export function runTask(task: DigestTask, options?: DigestOptions): Promise<StreamDigests> {
  const stream = readRegularFile(task.path, task.root);
  return digestStream(stream, task.algorithms, ENGINES[task.engine], options);
}
