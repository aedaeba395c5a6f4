import { cpSync, mkdirSync, readdirSync, writeFileSync } from 'node:fs';
import { spawnSync } from 'node:child_process';
import { dirname, join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { CLI, firmtally } from '../support/cli.js';
import { tempFolder } from '../support/temp.js';

const MANIFEST = 'firmtally: 1\nfirmware: {}\nsystems: {}\n';

describe.skipIf(process.platform === 'win32')('a current folder that was removed', () => {
  const inRemoved = (
    ...args: string[]
  ): { status: number | null; stdout: string; stderr: string } => {
    const script = 'mkdir "$0" && cd "$0" && rmdir "$0" && exec "$@"';
    const folder = join(tempFolder(), 'gone');
    return spawnSync('sh', ['-c', script, folder, process.execPath, CLI, ...args], {
      encoding: 'utf8',
    });
  };

  it.each([
    ['audit', 'card', '-m', 'card.yaml'],
    ['digest', 'a.bin'],
    ['validate', 'card.yaml'],
    ['draft', 'card'],
    ['--help'],
  ])('is said in two lines: %s', (...args) => {
    const { status, stdout, stderr } = inRemoved(...args);
    expect({ status, stdout }).toEqual({ status: 2, stdout: '' });
    expect(stderr).toBe(
      'firmtally: the current folder is no longer there\n' +
        'Go to a folder that exists, and run the command again.\n',
    );
  });
});

describe('a damaged installation', () => {
  const damaged = (main: string): { status: number | null; stdout: string; stderr: string } => {
    const folder = join(tempFolder(), 'bundle');
    cpSync(dirname(CLI), folder, { recursive: true });
    writeFileSync(join(folder, 'main.js'), main);
    return spawnSync(process.execPath, [join(folder, 'firmtally.js'), '--help'], {
      encoding: 'utf8',
    });
  };

  it.each([
    ['that does not parse', 'exports.main = (', 'firmtally: '],
    ['that throws while it loads', 'throw new Error("a\\u001bb")', 'firmtally: a\\x1bb\n'],
    [
      'that rejects where nobody waits',
      'exports.main = () => { void Promise.reject(new Error("c")); return new Promise(() => {}); }',
      'firmtally: c\n',
    ],
  ])('is one line and exit code 2: a file %s', (_, main, line) => {
    const { status, stdout, stderr } = damaged(main);
    expect({ status, stdout }).toEqual({ status: 2, stdout: '' });
    expect(stderr).toContain(line);
    expect(stderr.trimEnd().split('\n')).toHaveLength(1);
  });
});

it("leaves nothing in the user's folders", async () => {
  const home = tempFolder();
  writeFileSync(join(home, 'card.yaml'), MANIFEST);
  mkdirSync(join(home, '.cache'));
  await firmtally(['validate', 'card.yaml'], {
    cwd: home,
    env: { HOME: home, XDG_CACHE_HOME: join(home, '.cache'), LOCALAPPDATA: home },
  });
  expect(readdirSync(home, { recursive: true }).sort()).toEqual(['.cache', 'card.yaml']);
});
