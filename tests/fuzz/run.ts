/**
 * The long fuzz run: over 20,000 manifests and 5,000 trees and archives.
 *
 *   pnpm run fuzz                     every kind, from a new seed, which it prints
 *   pnpm run fuzz -- --seed 1         every kind, from this seed
 *   pnpm run fuzz KIND SEED [COUNT]   these cases only
 *
 * Each kind runs in a process of its own with bounded memory; one that says
 * nothing for a while hangs. Failing seeds of a full run are written to seeds.json,
 * which the test suite replays. Exit code 1 when anything was found.
 */
import { fork } from 'node:child_process';
import { availableParallelism } from 'node:os';
import { fileURLToPath } from 'node:url';
import { CASES } from './cases.js';
import { keepSeed } from './seeds.js';
import type { Message } from './worker.js';

/** Milliseconds one case may take before it counts as a hang; the slowest, a bomb of 1 GiB, takes some 5 s on one core. */
const HANG = 60_000;
/** MiB of JavaScript heap a worker may use. */
const HEAP = 1024;
/** Findings of one kind after which its run stops: the rest is likely the same. */
const ENOUGH = 20;

interface Job {
  readonly kind: string;
  readonly first: number;
  readonly count: number;
  /** Whether failing seeds are kept; not while one is looked into. */
  readonly keep: boolean;
}

interface Outcome {
  done: number;
  findings: number;
  readonly slowest: { seed: number; ms: number };
}

const jobs = jobsOf(process.argv.slice(2));
const outcomes: Outcome[] = [];
const queue = [...jobs];
await Promise.all(
  Array.from({ length: Math.min(jobs.length, availableParallelism()) }, async () => {
    for (let job = queue.shift(); job !== undefined; job = queue.shift())
      outcomes.push(await runJob(job));
  }),
);
const total = outcomes.reduce((sum, one) => sum + one.done, 0);
const findings = outcomes.reduce((sum, one) => sum + one.findings, 0);
say(`${total} cases, ${findings} findings`);
if (findings > 0 || total < jobs.reduce((sum, job) => sum + job.count, 0)) process.exitCode = 1;

function jobsOf(args: readonly string[]): Job[] {
  const words = args.filter((word) => word !== '--');
  const [kind, seed, count] = words;
  if (kind !== undefined && kind !== '--seed') {
    if (CASES[kind] === undefined) {
      throw new Error(`no kind "${kind}"; kinds: ${Object.keys(CASES).join(', ')}`);
    }
    return [{ kind, first: Number(seed ?? 1), count: Number(count ?? 1), keep: false }];
  }
  const first = kind === '--seed' ? Number(seed) : Math.floor(Math.random() * 2 ** 30);
  say(`seed ${first}`);
  return Object.entries(CASES).map(([name, { long }]) => ({
    kind: name,
    first,
    count: long,
    keep: true,
  }));
}

/** Runs one kind; a worker that hangs or dies is replaced by one that goes on after that seed. */
async function runJob(job: Job): Promise<Outcome> {
  const { kind, first, count } = job;
  const outcome: Outcome = { done: 0, findings: 0, slowest: { seed: first, ms: 0 } };
  let next = first;
  while (next < first + count && outcome.findings < ENOUGH) {
    next = await runWorker(job, next, outcome);
  }
  const { seed, ms } = outcome.slowest;
  say(
    `${kind}: ${outcome.done} cases from seed ${first}, ${outcome.findings} findings; slowest ${seed}: ${ms} ms`,
  );
  return outcome;
}

/** Gives the seed to go on with. */
function runWorker(job: Job, first: number, outcome: Outcome): Promise<number> {
  const { kind } = job;
  const end = job.first + job.count;
  return new Promise((resolve) => {
    let current = first;
    let hung = false;
    const worker = fork(
      fileURLToPath(new URL('worker.ts', import.meta.url)),
      [kind, `${first}`, `${end}`],
      {
        execArgv: [...process.execArgv, `--max-old-space-size=${HEAP}`],
        stdio: ['ignore', 'inherit', 'inherit', 'ipc'],
      },
    );
    const stop = (): void => {
      hung = true;
      worker.kill('SIGKILL');
    };
    let timer = setTimeout(stop, HANG);
    worker.on('message', ({ seed, ms, found }: Message) => {
      clearTimeout(timer);
      timer = setTimeout(stop, HANG);
      current = seed + 1;
      outcome.done++;
      if (ms > outcome.slowest.ms) Object.assign(outcome.slowest, { seed, ms });
      if (found !== null) note(job, seed, found, outcome);
      if (outcome.findings >= ENOUGH) worker.kill('SIGKILL');
    });
    worker.on('exit', (code, signal) => {
      clearTimeout(timer);
      if (current < end && outcome.findings < ENOUGH) {
        note(
          job,
          current,
          hung ? `hangs for ${HANG} ms` : `the process died: ${signal ?? code}`,
          outcome,
        );
        outcome.done++;
        current++;
      }
      resolve(current);
    });
  });
}

function note({ kind, keep }: Job, seed: number, found: string, outcome: Outcome): void {
  outcome.findings++;
  say(`\n${kind} ${seed}: ${found.slice(0, 4000)}\n`);
  if (keep) keepSeed({ kind, seed, found: found.split('\n', 1)[0] ?? found });
}

function say(text: string): void {
  process.stdout.write(`${text}\n`);
}
