/** Thread that digests files for worker-pool.ts. */
import { parentPort } from 'node:worker_threads';
import { toReadError } from '../folder/fault.js';
import { runTask } from './digest-task.js';
import type { ReplyMessage, TaskMessage } from './worker-protocol.js';

/** Bytes between two progress messages. */
const REPORT = 8 << 20;

const port = parentPort;
if (port === null) throw new Error('digest-worker runs as a worker thread only');

port.on('message', ({ id, task }: TaskMessage) => {
  let bytes = 0;
  const reply = (end?: ReplyMessage['end']): void => {
    port.postMessage({ id, bytes, ...(end === undefined ? {} : { end }) } satisfies ReplyMessage);
    bytes = 0;
  };
  runTask(task, (count) => {
    bytes += count;
    if (bytes >= REPORT) reply();
  }).then(
    (result) => reply({ ok: true, result }),
    (error: unknown) => {
      const { code, message } = toReadError(error);
      reply({ ok: false, code, message });
    },
  );
});
