import { mkdirSync, symlinkSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { digestsOf, noise } from '../core/diagnose/support.js';
import { firmtally } from '../support/cli.js';
import { needsAnyNames, needsLinks } from '../support/system.js';
import { tempFolder } from '../support/temp.js';

const boot = noise(2048, 1);
const ALL = ['crc32', 'md5', 'sha1', 'sha256'] as const;

function card(): string {
  const cwd = tempFolder();
  mkdirSync(join(cwd, 'card/osprey'), { recursive: true });
  writeFileSync(join(cwd, 'card/osprey/Boot ROM.bin'), boot);
  writeFileSync(join(cwd, 'card/1e5'), noise(10, 2));
  return cwd;
}

describe('firmtally draft', () => {
  it.each(['yaml', 'json'])(
    'the %s it writes validates, and finds the folder ready',
    async (format) => {
      const cwd = card();
      const drafted = await firmtally(['draft', 'card', '--format', format], { cwd });
      expect(drafted.code).toBe(0);
      expect(drafted.stderr).toBe(
        'firmtally: drafted from card: 2 files, 2 systems\n' +
          'Next: check ids and names, then: firmtally audit ROOT -m FILE\n',
      );
      // Digests by node:crypto and node:zlib.
      expect(parse(drafted.stdout)).toEqual({
        firmtally: 1,
        title: 'Draft of card: check before use',
        firmware: {
          '1e5': { path: '1e5', dumps: [{ size: 10, ...digestsOf(noise(10, 2), ALL) }] },
          'boot-rom': {
            path: 'osprey/Boot ROM.bin',
            dumps: [{ size: 2048, ...digestsOf(boot, ALL) }],
          },
        },
        systems: {
          card: { name: 'card', requires: ['1e5'] },
          osprey: { name: 'osprey', requires: ['boot-rom'] },
        },
      });
      const manifest = `draft.${format}`;
      writeFileSync(join(cwd, manifest), drafted.stdout);
      const validated = await firmtally(['validate', manifest], { cwd });
      expect(validated).toMatchObject({ code: 0, stderr: '' });
      const audited = await firmtally(
        ['audit', 'card', '-m', manifest, '--strict', '--format', 'json'],
        { cwd },
      );
      expect(audited).toMatchObject({ code: 0, stderr: '' });
      expect(JSON.parse(audited.stdout)).toMatchObject({
        systems: [
          { id: 'card', readiness: 'ready' },
          { id: 'osprey', readiness: 'ready' },
        ],
      });
      writeFileSync(join(cwd, 'card/1e5'), noise(10, 3));
      expect((await firmtally(['audit', 'card', '-m', manifest], { cwd })).code).toBe(1);
    },
  );

  it('says so in the file that it is a draft', async () => {
    const { stdout } = await firmtally(['draft', '.'], { cwd: join(card(), 'card') });
    expect(stdout).toMatch(/^# Drafted by firmtally/);
  });

  it('names what is not in it, even when quiet, and ends with 1', async (context) => {
    needsLinks(context);
    needsAnyNames(context);
    const cwd = card();
    symlinkSync('1e5', join(cwd, 'card/link'));
    writeFileSync(join(cwd, 'card/empty\u001b[31m'), '');
    const result = await firmtally(['draft', 'card', '--quiet'], { cwd });
    expect(result.code).toBe(1);
    expect(result.stderr).toBe(
      'firmtally: not drafted: empty\\x1b[31m: The file is empty, so there is nothing to check it by.\n' +
        'firmtally: not drafted: link: This is a link; what it leads to is drafted where it lies.\n',
    );
    expect(Object.keys((parse(result.stdout) as { firmware: object }).firmware)).toEqual([
      '1e5',
      'boot-rom',
    ]);
  });

  it.each([
    [['empty'], /empty: there is nothing to draft/],
    [['nowhere'], /nowhere: no such file or folder/],
    [[''], /<source> is empty/],
    [[], /<source/],
    [['card', '--format', 'xml'], /format/],
    [['card', '--folder', '../up'], /cannot be a manifest.s folder/],
    [['card', '--system', 'two words'], /cannot be the id of a system/],
    [['card', '--into', 'missing.yaml'], /missing.yaml: there is no such file/],
    [['--list', 'missing.txt'], /missing.txt: there is no such file/],
    [['--list', 'card'], /card: this is a folder, not a file/],
    [['--list', 'card/osprey/Boot ROM.bin'], /this is binary data, not a list/],
  ])('refuses %j in two lines', async (args, message) => {
    const cwd = card();
    mkdirSync(join(cwd, 'empty'));
    const result = await firmtally(['draft', ...args], { cwd });
    expect(result).toMatchObject({ code: 2, stdout: '' });
    expect(result.stderr).toMatch(message);
    expect(result.stderr.trimEnd().split('\n').length).toBeLessThanOrEqual(2);
  });
});
