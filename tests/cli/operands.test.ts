import { mkdirSync, symlinkSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { firmtally } from '../support/cli.js';
import { tempFolder } from '../support/temp.js';

describe('an operand that is a pattern', () => {
  const names = async (cwd: string, ...patterns: string[]): Promise<string[]> => {
    const { stdout, stderr } = await firmtally(
      ['digest', '--algorithm', 'md5', '--format', 'sums', '--', ...patterns],
      { cwd },
    );
    expect(stderr).toBe('');
    return Array.from(stdout.matchAll(/^\\?[0-9a-f]{32} [ *](.*)$/gm), ([, name = '']) => name);
  };

  const folder = (): string => {
    const cwd = tempFolder();
    mkdirSync(join(cwd, 'sub (1)'));
    for (const name of ['b.bin', 'a.bin', '.h.bin', '-x.bin', 'b [1].bin', '{a,b}.bin', '!z.bin']) {
      writeFileSync(join(cwd, name), 'x');
    }
    writeFileSync(join(cwd, 'sub (1)/q.bin'), 'x');
    return cwd;
  };

  it('stands for the files it matches, in order; only * and ? are special', async () => {
    const cwd = folder();
    expect(await names(cwd, '*.bin')).toEqual([
      ...['!z.bin', '-x.bin', 'a.bin', 'b [1].bin', 'b.bin', '{a,b}.bin'],
    ]);
    expect(await names(cwd, 'b [?].bin', '{a,?}.bin', 'sub (1)/*', '!*')).toEqual([
      ...['b [1].bin', '{a,b}.bin', 'sub (1)/q.bin', '!z.bin'],
    ]);
    const absolute = join(cwd, 'a.b*').replaceAll('\\', '/');
    expect(await names(cwd, absolute)).toEqual([absolute.replace('*', 'in')]);
  });

  it.skipIf(process.platform === 'win32')('is a name where a file has it', async () => {
    const cwd = folder();
    writeFileSync(join(cwd, '*.bin'), 'x');
    expect(await names(cwd, '*.bin')).toEqual(['*.bin']);
  });

  it('that matches nothing is said', async () => {
    const { code, stderr } = await firmtally(['validate', '*.yaml'], { cwd: folder() });
    expect(code).toBe(2);
    expect(stderr).toMatch(/^firmtally: \*\.yaml: there is no file of such a name\n/);
  });
});

describe('without -m', () => {
  const MANIFEST = 'firmtally: 1\nsystems: {osprey: {}}\n';

  const cards = (): string => {
    const cwd = tempFolder();
    mkdirSync(join(cwd, 'card'));
    writeFileSync(join(cwd, 'card/firmtally.yml'), MANIFEST);
    return cwd;
  };

  it.each([
    ['audit', 'card'],
    ['place', '--onto', 'card'],
  ])('%s takes the manifest on the card, and says so', async (...args) => {
    const { code, stderr } = await firmtally(args, { cwd: cards() });
    expect({ code, stderr }).toEqual({
      code: 0,
      stderr: 'firmtally: the manifest is card/firmtally.yml\n',
    });
  });

  it('takes the one in the current folder first', async () => {
    const cwd = cards();
    writeFileSync(join(cwd, 'firmtally.json'), '{"firmtally": 1, "systems": {"tern": {}}}');
    const audit = await firmtally(['audit', 'card', '--format', 'csv'], { cwd });
    expect(audit.stderr).toBe('firmtally: the manifest is firmtally.json\n');
    expect(audit.stdout).toContain('tern');
    const identify = await firmtally(['identify', 'firmtally.json', '--quiet'], { cwd });
    expect(identify).toMatchObject({ code: 1, stderr: '' });
  });

  it('says that there is none; a link out of the card is none', async () => {
    const cwd = tempFolder();
    mkdirSync(join(cwd, 'card'));
    writeFileSync(join(cwd, 'elsewhere'), MANIFEST);
    if (process.platform !== 'win32') symlinkSync('../elsewhere', join(cwd, 'card/firmtally.yaml'));
    const { code, stderr } = await firmtally(['audit', 'card'], { cwd });
    expect(code).toBe(2);
    expect(stderr).toBe(
      'firmtally: no manifest is named, and no firmtally.yaml is here\n' +
        'Name one with -m, for example: -m tern.yaml\n',
    );
  });
});
