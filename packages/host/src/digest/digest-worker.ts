/** Thread that digests files for worker-pool.ts. */
import { parentPort } from 'node:worker_threads';
import { toReadError } from '../folder/fault.js';
import { runTask } from './digest-task.js';
import type { DigestTask, ReplyMessage, ToWorker } from './worker-protocol.js';

/** Bytes between two progress messages. */
const REPORT = 8 << 20;

const port = parentPort;
if (port === null) throw new Error('digest-worker runs as a worker thread only');

const running = new Map<number, AbortController>();

port.on('message', (message: ToWorker) => {
  if ('stop' in message) running.get(message.id)?.abort();
  else void run(message.id, message.task);
});

async function run(id: number, task: DigestTask): Promise<void> {
  const controller = new AbortController();
  running.set(id, controller);
  let bytes = 0;
  const reply = (end?: ReplyMessage['end']): void => {
    port?.postMessage({ id, bytes, ...(end === undefined ? {} : { end }) } satisfies ReplyMessage);
    bytes = 0;
  };
  const onBytes = (count: number): void => {
    bytes += count;
    if (bytes >= REPORT) reply();
  };
  try {
    const result = await runTask(task, { onBytes, signal: controller.signal });
    reply({ done: result });
  } catch (error) {
    // A task that was stopped ends like this too; nobody waits for its answer.
    const { code, message, kind } = toReadError(error);
    reply({ fault: { code, message, kind } });
  } finally {
    running.delete(id);
  }
}
