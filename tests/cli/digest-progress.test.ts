import { setTimeout as sleep } from 'node:timers/promises';
import { describe, expect, it, vi } from 'vitest';
import type { Context } from '../../packages/cli/src/context.js';
import { byteCount } from '../../packages/cli/src/terminal/byte-count.js';
import { cutStart } from '../../packages/cli/src/terminal/cut.js';
import { startProgress } from '../../packages/cli/src/terminal/progress.js';

function fakeContext(over: Partial<Context> = {}): { context: Context; written: string[] } {
  const written: string[] = [];
  const sink = {
    write: (text: string) => {
      written.push(text);
      return Promise.resolve();
    },
  };
  const context: Context = {
    stdout: { ...sink, finish: () => Promise.resolve(), discard: () => undefined },
    stderr: sink,
    stdin: new Blob([]).stream(),
    cwd: '/',
    columns: 40,
    color: false,
    ascii: false,
    quiet: false,
    interactive: true,
    ...over,
  };
  return { context, written };
}

describe('progress line', () => {
  it('shows bytes and the escaped name in one line that fits, and takes itself away', async () => {
    const { context, written } = fakeContext();
    const progress = startProgress(context, { totalBytes: 4096 });
    progress.advance(1024);
    progress.at('folder/with a long name/\u001b[31m.bin');
    await vi.waitFor(() => expect(written).not.toEqual([]), { timeout: 20_000 });
    await progress.stop();
    const lines = written.filter((text) => text.length > 5);
    expect(lines.length).toBeGreaterThan(0);
    expect(lines[0]).toBe('\r1.0 KiB of 4.0 KiB (25%)  …\\x1b[31m.bin\u001b[K');
    expect(written.at(-1)).toBe('\r\u001b[K');
    const count = written.length;
    await sleep(250);
    expect(written.length).toBe(count);
  });

  it.each([
    ['short work', {}, 0],
    ['no terminal', { interactive: false }, 700],
    ['--quiet', { quiet: true }, 700],
  ])('draws nothing: %s', async (_, over, wait) => {
    const { context, written } = fakeContext(over);
    const progress = startProgress(context);
    progress.advance(1);
    await sleep(wait);
    await progress.stop();
    expect(written).toEqual([]);
  });
});

describe('cutStart', () => {
  it.each([
    ['short', 10, false, 'short'],
    ['a/long/path.bin', 9, false, '…path.bin'],
    ['a/long/path.bin', 11, true, '...path.bin'],
    ['ゲームゲーム.bin', 9, false, '…ーム.bin'],
    ['x', 0, false, ''],
  ])('%j in %i cells', (text, width, ascii, cut) => {
    expect(cutStart(text, width, ascii)).toBe(cut);
  });
});

describe('byteCount', () => {
  it.each([
    [0, '0 B'],
    [1023, '1023 B'],
    [1024, '1.0 KiB'],
    [1_572_864, '1.5 MiB'],
    [4_294_967_296, '4.0 GiB'],
  ])('%i', (bytes, text) => {
    expect(byteCount(bytes)).toBe(text);
  });
});
