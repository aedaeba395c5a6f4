import { execFileSync, spawnSync } from 'node:child_process';
import { mkdirSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { firmtally } from '../support/cli.js';
import { tempFolder } from '../support/temp.js';

/** GNU coreutils' own programs, both ways: they read our lists, we read theirs. */
function versionOf(program: string): number {
  const found = spawnSync(program, ['--version'], { encoding: 'utf8' });
  return Number(/GNU coreutils\)? (\d+\.\d+)/.exec(found.stdout)?.[1] ?? 0);
}

const VERSION = process.platform === 'win32' ? 0 : versionOf('md5sum');
const NAMES = [
  'plain.bin',
  'with space.bin',
  ' leading space',
  '-leading-dash',
  '*star',
  '#hash',
  '\\leading backslash',
  'back\\slash',
  'new\nline',
  'name ending in newline\n',
  'literal \\n and \n',
  'paren (a) = b',
  'käfer-ゲーム-🎮',
  'sub/folder/deep.bin',
  // Escaped since coreutils 9.0; before, such a line is ambiguous.
  ...(VERSION >= 9 ? ['carriage\rreturn', 'ends in cr\r'] : []),
];

describe.skipIf(VERSION === 0)('coreutils (skipped where GNU md5sum is absent)', () => {
  function oddFolder(): string {
    const folder = tempFolder();
    for (const [index, name] of NAMES.entries()) {
      mkdirSync(dirname(join(folder, name)), { recursive: true });
      writeFileSync(join(folder, name), `content ${index}`);
    }
    return folder;
  }

  describe.each(['md5', 'sha1', 'sha256'])('%ssum', (algorithm) => {
    const program = `${algorithm}sum`;

    it('reads and verifies our sums', async () => {
      const cwd = oddFolder();
      const args = ['digest', '--format', 'sums', '--algorithm', algorithm, '--', ...NAMES];
      const ours = await firmtally(args, { cwd });
      expect(ours).toMatchObject({ code: 0, stderr: '' });
      const check = spawnSync(program, ['-c', '--strict', '--status', '-'], {
        cwd,
        input: ours.stdout,
        encoding: 'utf8',
      });
      expect(check).toMatchObject({ status: 0, stderr: '' });
      expect(ours.stdout).toBe(execFileSync(program, ['--', ...NAMES], { cwd, encoding: 'utf8' }));
    });

    it.each([['--text'], ['--binary'], ['--tag']])('writes what we verify: %s', async (option) => {
      const cwd = oddFolder();
      const input = execFileSync(program, [option, '--', ...NAMES], { cwd });
      const ours = await firmtally(['digest', '--check', '-'], { cwd, input });
      expect(ours).toEqual({
        code: 0,
        stderr: '',
        stdout: `${NAMES.length} match, 0 mismatch, 0 missing, 0 unreadable, 0 malformed lines\n`,
      });
    });
  });
});
