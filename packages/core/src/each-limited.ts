/** Runs `work` over the items in their order, at most `limit` at a time. Ends with the first error, after the running ones are done. */
export async function eachLimited<Item>(
  items: Iterable<Item>,
  limit: number,
  work: (item: Item) => Promise<void>,
): Promise<void> {
  const iterator = items[Symbol.iterator]();
  let failed = false;
  const lane = async (): Promise<void> => {
    while (!failed) {
      const next = iterator.next();
      if (next.done === true) return;
      try {
        await work(next.value);
      } catch (error) {
        failed = true;
        throw error;
      }
    }
  };
  const lanes = await Promise.allSettled(Array.from({ length: Math.max(1, limit) }, lane));
  for (const outcome of lanes) if (outcome.status === 'rejected') throw outcome.reason;
}
