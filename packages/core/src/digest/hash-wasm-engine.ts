import { sortAlgorithms, type Algorithm } from '../bytes/digests.js';
import { type DigestEngine, type Hasher } from './engine.js';
import type { WasmHasher } from './hash-wasm-hashers.js';

/**
 * The default engine: hash-wasm, loaded when the first hasher is made.
 *
 * Each WebAssembly instance reserves gigabytes of address space, so that a
 * browser runs out of it with a hundred of them. There is one for each
 * algorithm, however many streams are hashed at once: a stream whose turn it is
 * not has its state (some hundred bytes) put aside. So no stream waits for
 * another, and one that is never ended costs nothing but its state.
 */
export const hashWasmEngine: DigestEngine = {
  name: 'hash-wasm',
  async create(algorithms) {
    return new SharingHasher(await Promise.all(sortAlgorithms(algorithms).map(instanceOf)));
  },
};

/** A part of a stream's hasher: one algorithm, and its state while the instance works for another. */
interface Part {
  readonly instance: Instance;
  /** Null before the first byte, and while the instance itself holds it. */
  state: Uint8Array | null;
}

interface Instance {
  readonly algorithm: Algorithm;
  readonly hasher: WasmHasher;
  /** Whose state it holds. */
  owner: Part | null;
}

class SharingHasher implements Hasher {
  #parts: readonly Part[] | null;

  constructor(instances: readonly Instance[]) {
    this.#parts = instances.map((instance) => ({ instance, state: null }));
  }

  update(chunk: Uint8Array): void {
    if (this.#parts === null) throw new Error('update() after digest()');
    for (const part of this.#parts) claim(part).update(chunk);
  }

  digest(): Partial<Record<Algorithm, string>> {
    if (this.#parts === null) throw new Error('digest() after digest()');
    const digests: Partial<Record<Algorithm, string>> = {};
    for (const part of this.#parts) {
      digests[part.instance.algorithm] = claim(part).digest('hex');
      part.instance.owner = null;
    }
    this.#parts = null;
    return digests;
  }
}

/** The instance with this part's state in it. */
function claim(part: Part): WasmHasher {
  const { instance } = part;
  const { hasher, owner } = instance;
  if (owner === part) return hasher;
  if (owner !== null) owner.state = hasher.save();
  if (part.state === null) hasher.init();
  else hasher.load(part.state);
  part.state = null;
  instance.owner = part;
  return hasher;
}

const instances = new Map<Algorithm, Promise<Instance>>();

function instanceOf(algorithm: Algorithm): Promise<Instance> {
  let instance = instances.get(algorithm);
  if (instance === undefined) {
    instance = createInstance(algorithm);
    instances.set(algorithm, instance);
    // Without memory for one now there may be some later.
    instance.catch(() => instances.delete(algorithm));
  }
  return instance;
}

async function createInstance(algorithm: Algorithm): Promise<Instance> {
  const { CREATE } = await import('./hash-wasm-hashers.js');
  return { algorithm, hasher: await CREATE[algorithm](), owner: null };
}
