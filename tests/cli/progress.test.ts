import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { setTimeout as sleep } from 'node:timers/promises';
import type { TaskProgress } from '@firmtally/core';
import fc from 'fast-check';
import stringWidth from 'string-width';
import { describe, expect, it, vi } from 'vitest';
import type { Context } from '../../packages/cli/src/context.js';
import { byteCount } from '@firmtally/core/internal';
import { cutMiddle } from '../../packages/cli/src/terminal/cut.js';
import { progressText } from '../../packages/cli/src/terminal/progress-text.js';
import { startProgress } from '../../packages/cli/src/terminal/progress.js';
import { CLI } from '../support/cli.js';

function fakeContext(over: Partial<Context> = {}): { context: Context; written: string[] } {
  const written: string[] = [];
  const sink = {
    write: (text: string) => {
      written.push(text);
      return Promise.resolve();
    },
  };
  const context: Context = {
    stdout: { ...sink, finish: () => Promise.resolve(), discard: () => undefined, begun: false },
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

const READING: TaskProgress = {
  phase: 'read',
  files: 2,
  totalFiles: 9,
  bytes: 1024,
  totalBytes: 4096,
  bytesPerSecond: 512,
  path: 'folder/with a long name/\u001b[31m.bin',
};

describe('progress line', () => {
  it('fits the width, and takes itself away', async () => {
    const { context, written } = fakeContext();
    const progress = startProgress(context);
    progress.show(READING);
    await vi.waitFor(() => expect(written).not.toEqual([]), { timeout: 20_000 });
    await progress.stop();
    const lines = written.filter((text) => text.length > 5);
    expect(lines[0]).toBe('\rReading 25%  1.0 KiB of 4.0 KiB\u001b[K');
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
    progress.show(READING);
    await sleep(wait);
    await progress.stop();
    expect(written).toEqual([]);
  });
});

describe('what the progress line says', () => {
  const say = (over: Partial<TaskProgress>, columns = 79, ascii = false): string =>
    progressText({ ...READING, ...over }, { columns, ascii });

  it('is what is done, percent, bytes, rate, time left and the file, its name cut in the middle', () => {
    expect(say({})).toBe(
      'Reading 25%  1.0 KiB of 4.0 KiB  512 B/s  6 s left  folder/w… name/\\x1b[31m.bin',
    );
    expect(say({}, 39)).toBe('Reading 25%  1.0 KiB of 4.0 KiB');
    expect(say({ path: null })).toBe('Reading 25%  1.0 KiB of 4.0 KiB  512 B/s  6 s left');
    expect(say({ phase: 'place', path: 'a.bin', bytesPerSecond: null }, 50, true)).toBe(
      'Placing 25%  1.0 KiB of 4.0 KiB  a.bin',
    );
  });

  it('never stands at 0 % once something is done, nor at 100 % before all is', () => {
    expect(say({ bytes: 1, totalBytes: 1e9 })).toMatch(/^Reading <1% /);
    expect(say({ bytes: 999_999_999, totalBytes: 1e9 })).toMatch(/^Reading 99% /);
    expect(say({ bytes: 5000 })).toMatch(
      /^Reading 100% {2}4\.0 KiB of 4\.0 KiB {2}512 B\/s {2}fold/,
    );
  });

  it('counts files where no bytes are known, and what was found while listing', () => {
    expect(say({ phase: 'list', files: 12_345, path: null })).toBe('Listing: 12345 files');
    expect(
      say({ phase: 'diagnose', bytes: 0, totalBytes: null, bytesPerSecond: null, path: 'a' }),
    ).toBe('Looking at damage 22%  file 3 of 9  a');
    expect(say({ totalFiles: null, totalBytes: null, path: null })).toBe(
      'Reading  1.0 KiB  512 B/s',
    );
  });

  it('never takes more cells than there are, whatever the name', () => {
    fc.assert(
      fc.property(
        fc.string({ unit: 'grapheme', maxLength: 80 }),
        fc.integer({ min: 8, max: 120 }),
        fc.double({ min: 0, max: 1e15, noNaN: true }),
        fc.boolean(),
        (path, columns, bytes, ascii) => {
          const line = say({ path, bytes, totalBytes: 1e15, bytesPerSecond: 1e3 }, columns, ascii);
          expect(stringWidth(line)).toBeLessThanOrEqual(columns);
          expect(line).not.toMatch(/[\u0000-\u001f\u007f-\u009f]/);
        },
      ),
      { seed: 7 },
    );
  });
});

describe('cutMiddle', () => {
  it.each([
    ['short', 10, false, 'short'],
    ['a/long/path.bin', 9, false, 'a/…th.bin'],
    ['a/long/path.bin', 11, true, 'a/...th.bin'],
    ['ゲームゲーム.bin', 9, false, 'ゲ…ム.bin'],
    ['x', 0, false, ''],
  ])('%j in %i cells', (text, width, ascii, cut) => {
    expect(cutMiddle(text, width, ascii)).toBe(cut);
  });
});

describe.skipIf(process.platform === 'win32')('Ctrl-C', () => {
  it('while reading says that nothing was written', async () => {
    const child = spawn(process.execPath, [CLI, 'digest', '-'], { stdio: 'pipe' });
    let stderr = '';
    child.stderr.on('data', (chunk: Buffer) => (stderr += chunk.toString()));
    child.stdin.on('error', () => undefined);
    // More than a pipe holds: once it is gone, the command is reading.
    await new Promise((resolve) => child.stdin.write(Buffer.alloc(4 << 20), resolve));
    child.kill('SIGINT');
    const [code] = (await once(child, 'close')) as [number | null];
    expect({ code, stderr }).toEqual({
      code: 2,
      stderr: 'firmtally: Interrupted; nothing was written.\n',
    });
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
