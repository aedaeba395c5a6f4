import { readdirSync, readFileSync, writeFileSync } from 'node:fs';
import type fs from 'node:fs/promises';
import { join } from 'node:path';
import { expect, it, vi } from 'vitest';
import { fileOutput } from '../../packages/cli/src/terminal/file-output.js';
import { tempFolder } from '../support/temp.js';

const busy = vi.hoisted(() => ({ times: 0 }));

vi.mock('node:fs/promises', async (original) => {
  const real = await original<typeof fs>();
  const rename = (from: string, to: string): Promise<void> =>
    busy.times-- > 0
      ? Promise.reject(Object.assign(new Error('EBUSY'), { code: 'EBUSY' }))
      : real.rename(from, to);
  return { ...real, rename };
});

/** A file with "before" in it, to which "after" is written; what is in its folder then. */
async function written(): Promise<Record<string, string>> {
  const folder = tempFolder();
  writeFileSync(join(folder, 'out'), 'before');
  const output = fileOutput(join(folder, 'out'));
  await output.write('after');
  try {
    await output.finish();
  } catch (error) {
    expect((error as Error).message).toContain('out: another program has it open');
  }
  return Object.fromEntries(
    readdirSync(folder).map((name) => [name, readFileSync(join(folder, name), 'utf8')]),
  );
}

it('waits a moment for another program that looks at the file', async () => {
  busy.times = 2;
  expect(await written()).toEqual({ out: 'after' });
});

it('leaves what was there when the other program keeps it', async () => {
  busy.times = Infinity;
  expect(await written()).toEqual({ out: 'before' });
});
