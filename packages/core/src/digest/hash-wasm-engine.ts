import { sortAlgorithms, type Algorithm, type DigestEngine, type Hasher } from './engine.js';
import type { WasmHasher } from './hash-wasm-hashers.js';

/**
 * Streams hashed at once. Each WebAssembly memory reserves gigabytes of address
 * space, and some 13,000 of them exhaust it (measured on 64-bit Linux), so
 * further streams wait for their turn.
 */
const MAX_LIVE = 64;

/** Idle hashers kept for each algorithm; more than this are left to the garbage collector. */
const MAX_IDLE = 8;

/**
 * The default engine: hash-wasm, loaded when the first hasher is made. Hashers
 * are reused, so every one must be ended with `digest()`; {@link digestStream}
 * does that even when its stream fails.
 */
export const hashWasmEngine: DigestEngine = {
  name: 'hash-wasm',
  async create(algorithms) {
    const wanted = sortAlgorithms(algorithms);
    await takeTurn();
    try {
      return new PooledHasher(await Promise.all(wanted.map(takeHasher)));
    } catch (error) {
      endTurn();
      throw error;
    }
  },
};

interface Taken {
  readonly algorithm: Algorithm;
  readonly hasher: WasmHasher;
}

class PooledHasher implements Hasher {
  #taken: readonly Taken[] | null;

  constructor(taken: readonly Taken[]) {
    this.#taken = taken;
  }

  update(chunk: Uint8Array): void {
    if (this.#taken === null) throw new Error('update() after digest()');
    for (const { hasher } of this.#taken) hasher.update(chunk);
  }

  digest(): Partial<Record<Algorithm, string>> {
    if (this.#taken === null) throw new Error('digest() after digest()');
    const digests: Partial<Record<Algorithm, string>> = {};
    for (const { algorithm, hasher } of this.#taken) {
      digests[algorithm] = hasher.digest('hex');
      const idle = idleOf(algorithm);
      if (idle.length < MAX_IDLE) idle.push(hasher);
    }
    this.#taken = null;
    endTurn();
    return digests;
  }
}

const idleHashers = new Map<Algorithm, WasmHasher[]>();

function idleOf(algorithm: Algorithm): WasmHasher[] {
  let idle = idleHashers.get(algorithm);
  if (idle === undefined) idleHashers.set(algorithm, (idle = []));
  return idle;
}

async function takeHasher(algorithm: Algorithm): Promise<Taken> {
  const idle = idleOf(algorithm).pop();
  if (idle !== undefined) return { algorithm, hasher: idle.init() };
  const { CREATE } = await import('./hash-wasm-hashers.js');
  return { algorithm, hasher: (await CREATE[algorithm]()).init() };
}

let live = 0;
const waiting: (() => void)[] = [];

async function takeTurn(): Promise<void> {
  if (live < MAX_LIVE) live += 1;
  else await new Promise<void>((resolve) => waiting.push(resolve));
}

function endTurn(): void {
  const next = waiting.shift();
  // A turn that is handed on stays counted.
  if (next === undefined) live -= 1;
  else next();
}
