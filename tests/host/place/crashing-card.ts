import type { CardFile, CardFs } from '@firmtally/host';

/** What stands for the process being killed: nothing after it reaches the card. */
export class Killed extends Error {
  override readonly name = 'Killed';
}

/** Dies at a call of the card. */
export class Death {
  /** Calls left to live; null: not armed yet. */
  #left: number | null = null;

  /** From now on the process dies at the given call, counted from 0. */
  arm(dieAt: number): void {
    this.#left = dieAt;
  }

  /** Passes a call on while alive. */
  async refuse<T>(call: () => Promise<T>): Promise<T> {
    if (this.#left !== null && this.#left < 0) throw new Killed();
    return call();
  }

  /** Passes a call on; at the fatal one does what it may have done in part, and refuses all after it. */
  async pass<T>(call: () => Promise<T>, partly?: () => Promise<unknown>): Promise<T> {
    if (this.#left === null || this.#left-- > 0) return call();
    if (this.#left === -1) await partly?.();
    throw new Killed();
  }
}

/**
 * A card that passes all calls on while alive; a write that dies has written
 * half. Only calls that change the card are moments to die: dying at another
 * leaves the card as dying at the next of these does.
 */
export function crashingCard(real: CardFs, death: Death): CardFs {
  const alive = death.pass.bind(death);
  const file = (inner: CardFile): CardFile => ({
    write: (chunk) =>
      alive(
        () => inner.write(chunk),
        () => inner.write(chunk.subarray(0, chunk.length >> 1)),
      ),
    sync: () => death.refuse(() => inner.sync()),
    // A dead process's files are closed by the system.
    close: () => inner.close(),
  });
  return {
    stat: (path) => death.refuse(() => real.stat(path)),
    list: (path) => death.refuse(() => real.list(path)),
    resolve: (path) => death.refuse(() => real.resolve(path)),
    makeFolder: (path) => alive(() => real.makeFolder(path)),
    create: (path) =>
      alive(
        async () => file(await real.create(path)),
        async () => (await real.create(path)).close(),
      ),
    async *read(path) {
      await death.refuse(() => Promise.resolve());
      yield* real.read(path);
    },
    link: (path, to) => alive(() => real.link(path, to)),
    rename: (path, to) => alive(() => real.rename(path, to)),
    remove: (path) => alive(() => real.remove(path)),
    syncFolder: (path) => death.refuse(() => real.syncFolder(path)),
    space: () => death.refuse(() => real.space()),
    isThere: () => death.refuse(() => real.isThere()),
  };
}
