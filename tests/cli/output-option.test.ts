import {
  lstatSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  statSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { firmtally } from '../support/cli.js';
import { tempFolder } from '../support/temp.js';

describe('--output', () => {
  it('writes the result into a file, as it would be printed, and nothing to the screen', async () => {
    const cwd = tempFolder();
    const plain = await firmtally(['schema', 'plan'], { cwd });
    const { code, stdout, stderr } = await firmtally(['schema', 'plan', '-o', 'plan.json'], {
      cwd,
    });
    expect({ code, stdout, stderr }).toEqual({ code: 0, stdout: '', stderr: '' });
    expect(readFileSync(join(cwd, 'plan.json'), 'utf8')).toBe(plain.stdout);
    expect(readdirSync(cwd)).toEqual(['plan.json']);
  });

  it('leaves what was there when the command fails, and takes its place when not', async () => {
    const cwd = tempFolder();
    writeFileSync(join(cwd, 'out'), 'before');
    const failed = await firmtally(['audit', 'nowhere', '-m', 'none.yaml', '-o', 'out'], { cwd });
    expect(failed.code).toBe(2);
    expect(readFileSync(join(cwd, 'out'), 'utf8')).toBe('before');
    expect((await firmtally(['--version', '-o', 'out'], { cwd })).code).toBe(0);
    expect(readFileSync(join(cwd, 'out'), 'utf8')).toMatch(/^\d+\.\d+\.\d+\n$/);
    expect(readdirSync(cwd)).toEqual(['out']);
  });

  it('is not coloured', async () => {
    const cwd = tempFolder();
    writeFileSync(join(cwd, 'm.yaml'), 'firmtally: 2\n');
    await firmtally(['validate', 'm.yaml', '-o', 'out'], { cwd, env: { FORCE_COLOR: '1' } });
    expect(readFileSync(join(cwd, 'out'), 'utf8')).not.toContain('\u001b');
  });

  it.each<[string, string]>([
    ['folder', 'this is a folder'],
    ['nowhere/out', 'its folder does not exist'],
    process.platform === 'win32'
      ? ['what?.json', 'Windows allows none of <>:"|?* in a name']
      : ['/dev/null', 'this is a device or a pipe'],
    ['a'.repeat(300), 'its name is too long'],
  ])('%s is refused before anything is done', async (path, why) => {
    const cwd = tempFolder();
    mkdirSync(join(cwd, 'folder'));
    const { code, stdout, stderr } = await firmtally(['schema', 'plan', '-o', path], { cwd });
    expect({ code, stdout }).toEqual({ code: 2, stdout: '' });
    expect(stderr).toContain(`--output ${path}: ${why}`);
    expect(readdirSync(cwd)).toEqual(['folder']);
  });

  it.skipIf(process.platform === 'win32')(
    'goes where a link leads, and keeps the rights',
    async () => {
      const cwd = tempFolder();
      writeFileSync(join(cwd, 'real'), 'before', { mode: 0o600 });
      symlinkSync('real', join(cwd, 'link'));
      await firmtally(['--version', '-o', 'link'], { cwd });
      expect(lstatSync(join(cwd, 'link')).isSymbolicLink()).toBe(true);
      expect(readFileSync(join(cwd, 'real'), 'utf8')).not.toBe('before');
      expect(statSync(join(cwd, 'real')).mode & 0o777).toBe(0o600);
    },
  );
});
