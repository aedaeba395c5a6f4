import { getEventListeners } from 'node:events';
import { abortable, onAbort, orAborted } from '@firmtally/core/internal';
import { describe, expect, it } from 'vitest';

const REASON = new Error('enough');

async function* numbers(count: number, closed: { yes: boolean }): AsyncGenerator<number> {
  try {
    for (let index = 0; index < count; index++) {
      await Promise.resolve();
      yield index;
    }
  } finally {
    closed.yes = true;
  }
}

async function collected(items: AsyncIterable<number>): Promise<number[]> {
  const all: number[] = [];
  for await (const item of items) all.push(item);
  return all;
}

describe('orAborted', () => {
  it('gives what the promise gives, and leaves no listener behind', async () => {
    const { signal } = new AbortController();
    expect(await orAborted(Promise.resolve(7), signal)).toBe(7);
    await expect(orAborted(Promise.reject(REASON), signal)).rejects.toBe(REASON);
    expect(await orAborted(Promise.resolve(7), undefined)).toBe(7);
    expect(getEventListeners(signal, 'abort')).toEqual([]);
  });

  it('does not wait for what never comes', async () => {
    const controller = new AbortController();
    const never = orAborted(new Promise(() => undefined), controller.signal);
    controller.abort(REASON);
    await expect(never).rejects.toBe(REASON);
    await expect(orAborted(new Promise(() => undefined), controller.signal)).rejects.toBe(REASON);
  });
});

describe('onAbort', () => {
  it('tells everyone who still waits, with one listener however many there are', () => {
    const controller = new AbortController();
    const { signal } = controller;
    const told: string[] = [];
    const ends = ['a', 'b', 'c'].map((name) => onAbort(signal, () => told.push(name)));
    expect(getEventListeners(signal, 'abort')).toHaveLength(1);
    ends[1]?.();
    ends[1]?.();
    controller.abort(REASON);
    expect(told).toEqual(['a', 'c']);
    onAbort(signal, () => told.push('late'));
    expect(told).toEqual(['a', 'c', 'late']);
    expect(getEventListeners(signal, 'abort')).toEqual([]);
  });

  it('listens anew after everyone has left', () => {
    const controller = new AbortController();
    let told = 0;
    onAbort(controller.signal, () => told++)();
    onAbort(controller.signal, () => told++);
    controller.abort(REASON);
    expect(told).toBe(1);
  });
});

describe('abortable', () => {
  it('gives the same items, closes the source when it is left, and leaves no listener', async () => {
    const { signal } = new AbortController();
    const closed = { yes: false };
    expect(await collected(abortable(numbers(5, closed), signal))).toEqual([0, 1, 2, 3, 4]);
    closed.yes = false;
    for await (const number of abortable(numbers(5, closed), signal)) if (number === 2) break;
    expect(closed.yes).toBe(true);
    expect(getEventListeners(signal, 'abort')).toEqual([]);
    expect(await collected(abortable(numbers(2, closed), undefined))).toEqual([0, 1]);
  });

  it('ends though the source never answers, not even to being closed', async () => {
    const controller = new AbortController();
    const silent: AsyncIterable<number> = {
      [Symbol.asyncIterator]: () => ({
        next: () => new Promise(() => undefined),
        return: () => new Promise(() => undefined),
      }),
    };
    const running = collected(abortable(silent, controller.signal));
    controller.abort(REASON);
    await expect(running).rejects.toBe(REASON);
    await expect(collected(abortable(silent, controller.signal))).rejects.toBe(REASON);
  });

  it('closes a source that answers when it is aborted between two items', async () => {
    const controller = new AbortController();
    const closed = { yes: false };
    const running = (async () => {
      for await (const number of abortable(numbers(5, closed), controller.signal)) {
        if (number === 1) controller.abort(REASON);
      }
    })();
    await expect(running).rejects.toBe(REASON);
    expect(closed.yes).toBe(true);
  });
});
