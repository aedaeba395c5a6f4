import { readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { rename } from 'node:fs/promises';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { fileOutput } from '../../packages/cli/src/terminal/file-output.js';
import { tempFolder } from '../support/temp.js';

/**
 * A file with "before" in it, to which "after" is written, while another
 * program has it open for some tries; how often it was tried, and what is in its folder then.
 */
async function written(busy: number): Promise<{ tries: number; files: Record<string, string> }> {
  const folder = tempFolder();
  writeFileSync(join(folder, 'out'), 'before');
  let tries = 0;
  const output = fileOutput(join(folder, 'out'), (from, to) =>
    tries++ < busy
      ? Promise.reject(Object.assign(new Error('EBUSY'), { code: 'EBUSY' }))
      : rename(from, to),
  );
  await output.write('after');
  try {
    await output.finish();
  } catch (error) {
    expect((error as Error).message).toContain('out: another program has it open');
  }
  const files = Object.fromEntries(
    readdirSync(folder).map((name) => [name, readFileSync(join(folder, name), 'utf8')]),
  );
  return { tries, files };
}

it('waits a moment for another program that looks at the file', async () => {
  expect(await written(2)).toEqual({ tries: 3, files: { out: 'after' } });
});

it('leaves what was there when the other program keeps it', async () => {
  const { tries, files } = await written(Infinity);
  expect(files).toEqual({ out: 'before' });
  expect(tries).toBeGreaterThan(1);
});
