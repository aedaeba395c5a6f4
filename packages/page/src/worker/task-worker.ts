/** Does the page's work off its own thread, so that whatever it does the page can be read, scrolled and stopped. */
import { FirmtallyError, type TaskProgress } from '@firmtally/core';
import { words } from './manifest-choice.js';
import type { Reply, Request, TaskRequest } from './protocol.js';
import { Tasks } from './tasks.js';

/** Milliseconds between two words of progress: often enough to look alive, seldom enough to cost nothing. */
const TELL_EVERY = 100;

const tell = (reply: Reply): void => {
  (self as unknown as { postMessage(message: Reply): void }).postMessage(reply);
};

const running = new Map<number, AbortController>();
const needed = new Map<number, (files: readonly (File | null)[]) => void>();
let needs = 0;
const tasks = new Tasks(
  (folder, indexes) =>
    new Promise((resolve) => {
      const id = needs++;
      needed.set(id, resolve);
      tell({ id, needed: { folder, indexes } });
    }),
);

self.addEventListener('message', ({ data }: MessageEvent<Request>) => {
  if ('stop' in data) {
    running.get(data.id)?.abort();
  } else if ('given' in data) {
    needed.get(data.id)?.(data.given);
    needed.delete(data.id);
  } else {
    void run(data);
  }
});

async function run(request: TaskRequest): Promise<void> {
  const { id } = request;
  const abort = new AbortController();
  running.set(id, abort);
  try {
    tell({ id, answer: await tasks.run(request, abort.signal, telling(id)) });
  } catch (error) {
    tell({ id, failed: said(error) });
  } finally {
    running.delete(id);
  }
}

function telling(id: number): (progress: TaskProgress) => void {
  let told = 0;
  return (progress) => {
    const now = Date.now();
    if (Math.abs(now - told) < TELL_EVERY) return;
    told = now;
    tell({ id, progress });
  };
}

function said(error: unknown): string {
  if (error instanceof FirmtallyError) return words(error);
  return error instanceof Error ? error.message : String(error);
}
