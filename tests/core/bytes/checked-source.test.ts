import { ReadError, type Entry, type Fault, type FolderSource } from '@firmtally/core';
import { buildInventory, checkedContent } from '@firmtally/core/internal';
import { describe, expect, it } from 'vitest';
import { MemoryFolder } from '../../support/memory-folder.js';

/** A source of a caller's own that lists just this. */
function listing(...items: (Partial<Entry> | Fault)[]): FolderSource {
  return {
    // eslint-disable-next-line @typescript-eslint/require-await -- a listing is async by its type
    async *list() {
      for (const item of items) {
        yield 'code' in item ? item : ({ kind: 'file', size: 1, ...item } as Entry);
      }
    },
    open: () => {
      throw new Error('nothing is to be opened');
    },
  };
}

describe('what a source lists', () => {
  it.each(['./a.bin', '/a', 'a//b', '..', 'a/../b', 'a/', '.', '', 'a\0b', 'a/./b'])(
    'is refused where it comes in: %j',
    async (path) => {
      await expect(buildInventory(listing({ path: 'fine' }, { path }))).rejects.toMatchObject({
        name: 'FirmtallyError',
        code: 'source-invalid',
        message: expect.stringContaining(`"${path.replace('\0', '\\x00')}"`) as string,
      });
    },
  );

  it.each(['a', '...', '.a', 'a.', 'a/..b', ' ', 'a\\b', 'C:', '\udc80', 'a\nb', '..a/.b'])(
    'is taken: %j',
    async (path) => {
      expect((await buildInventory(listing({ path }))).get(path)?.path).toBe(path);
    },
  );

  it.each<[string, Partial<Entry>[]]>([
    ['twice', [{ path: 'a' }, { path: 'b' }, { path: 'a' }]],
    ['size', [{ path: 'a', size: -1 }]],
    ['size', [{ path: 'a', size: 1.5 }]],
    ['size', [{ path: 'a', size: Number.NaN }]],
    ['link', [{ path: 'a', kind: 'link' }]],
    ['link', [{ path: 'a', link: { resolvesTo: 'b', fault: null } }]],
    ['leads', [{ path: 'a', kind: 'link', link: { resolvesTo: '../b', fault: null } }]],
  ])('has each path once, with a size and a link that can be (%s)', async (why, items) => {
    await expect(buildInventory(listing(...items))).rejects.toMatchObject({
      code: 'source-invalid',
      message: expect.stringMatching(new RegExp(`"a".*${why}`, 'u')) as string,
    });
  });

  it('passes faults through', async () => {
    const fault: Fault = { path: '.', code: 'io-error', message: 'no' };
    expect((await buildInventory(listing(fault))).faults).toEqual([fault]);
  });
});

describe('a listing', () => {
  it('ends with the reason of its signal though the source never answers', async () => {
    const silent: FolderSource = {
      ...listing(),
      list: () => ({
        [Symbol.asyncIterator]: () => ({ next: () => new Promise(() => undefined) }),
      }),
    };
    const controller = new AbortController();
    const reason = new Error('enough');
    const building = buildInventory(silent, { signal: controller.signal });
    controller.abort(reason);
    await expect(building).rejects.toBe(reason);
  });
});

describe('what a source reads', () => {
  const failing = (error: unknown): FolderSource => ({
    ...listing(),
    // eslint-disable-next-line @typescript-eslint/require-await -- a stream is async by its type
    async *open() {
      yield new Uint8Array(3);
      throw error;
    },
  });

  async function read(source: FolderSource, signal?: AbortSignal): Promise<number> {
    let count = 0;
    const bytes = checkedContent(source, signal).open('fw/\u001ba.bin');
    for await (const chunk of bytes) count += chunk.length;
    return count;
  }

  it('stays what it was', async () => {
    expect(await read(new MemoryFolder({ 'fw/\u001ba.bin': 'x'.repeat(5000) }))).toBe(5000);
    const error = new ReadError('io-error', 'the drive failed');
    await expect(read(failing(error))).rejects.toBe(error);
  });

  it('names the path when it fails in a way of its own', async () => {
    const cause = new TypeError('undefined is not a function');
    await expect(read(failing(cause))).rejects.toMatchObject({
      code: 'source-invalid',
      message: 'fw/\\x1ba.bin: its source failed: undefined is not a function',
      cause,
    });
    const wrong = { ...listing(), open: () => ['text'] as unknown as AsyncIterable<Uint8Array> };
    await expect(read(wrong)).rejects.toMatchObject({ code: 'source-invalid' });
  });

  it('ends with the reason of its signal though the source never answers', async () => {
    const silent: FolderSource = {
      ...listing(),
      open: () => ({
        [Symbol.asyncIterator]: () => ({ next: () => new Promise(() => undefined) }),
      }),
    };
    const controller = new AbortController();
    const reason = new Error('enough');
    const reading = read(silent, controller.signal);
    controller.abort(reason);
    await expect(reading).rejects.toBe(reason);
  });
});
