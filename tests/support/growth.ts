/** As often as it is tried: what other programs do to caches and clocks must not look like growth. */
const TRIES = 4;

/** CPU milliseconds that are lost in the noise of timers and of collecting garbage. */
const NOISE = 8;

/** Four times the input may take six times the time: linear, with room for caches and collecting garbage. */
export const MOST_GROWTH = 6;

/**
 * How many times more CPU time a task takes for four times the input: the
 * least of some tries. Linear is 4, quadratic 16. CPU time of this process, so
 * that a busy machine changes little; no measure of how fast anything is.
 */
export async function growth(task: (size: number) => unknown, size: number): Promise<number> {
  await task(size);
  let least = Infinity;
  for (let count = 0; count < TRIES && least > MOST_GROWTH; count++) {
    const small = await cpu(() => task(size));
    const large = await cpu(() => task(4 * size));
    least = Math.min(least, (large + NOISE) / (small + NOISE));
  }
  return least;
}

async function cpu(task: () => unknown): Promise<number> {
  const before = process.cpuUsage();
  await task();
  const { user, system } = process.cpuUsage(before);
  return (user + system) / 1000;
}
