/** A small seeded generator, so that a case is its seed and nothing else. */
export class Random {
  #state: number;

  constructor(seed: number) {
    this.#state = seed >>> 0;
  }

  /** 32 bits. mulberry32 (public domain, Tommy Ettinger): short, and far better than a case needs. */
  bits(): number {
    this.#state = (this.#state + 0x6d2b79f5) >>> 0;
    let t = this.#state;
    t = Math.imul(t ^ (t >>> 15), t | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return (t ^ (t >>> 14)) >>> 0;
  }

  /** 0 … limit - 1. */
  below(limit: number): number {
    return this.bits() % limit;
  }

  /** from … to, both included. */
  between(from: number, to: number): number {
    return from + this.below(to - from + 1);
  }

  chance(probability: number): boolean {
    return this.bits() < probability * 2 ** 32;
  }

  pick<T>(items: readonly T[]): T {
    if (items.length === 0) throw new Error('nothing to pick from');
    return items[this.below(items.length)] as T;
  }

  /** Some of the items (perhaps none), in their order. */
  some<T>(items: readonly T[], probability = 0.5): T[] {
    return items.filter(() => this.chance(probability));
  }

  bytes(length: number): Buffer {
    const bytes = Buffer.alloc(length);
    for (let index = 0; index < length; index++) bytes[index] = this.below(256);
    return bytes;
  }

  /** Runs one of several things. */
  oneOf<T>(...makers: readonly (() => T)[]): T {
    return this.pick(makers)();
  }
}
