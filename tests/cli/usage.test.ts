import { spawnSync } from 'node:child_process';
import { describe, expect, it } from 'vitest';
import { CLI, firmtally } from '../support/cli.js';

describe('a wrong command line', () => {
  it.each([
    [[], 'Name a command'],
    [['schem'], 'Did you mean schema?'],
    [['completion', 'tcsh'], 'no completion script for "tcsh"\nThere is one for: bash, zsh'],
    [['completion', 'zsh', 'bash'], '"bash" is one word too many'],
    [['schema'], 'schema needs <name>'],
    [['place'], 'place needs --onto <folder> and -m <manifest>'],
    [['audit', 'x', '-m'], '-m needs a value'],
    [['audit', 'x', '-m', 'y', '--format', 'xml'], 'is not one of: table'],
    [['schema', 'manifes'], 'Did you mean manifest?'],
    [['schema', 'manifest', 'extra'], '"extra" is one word too many'],
    [['schema', '--asci', 'manifest'], 'Did you mean --ascii?'],
    [['place', 'pile', '--sourc', 'x'], 'there is no option --sourc\nSee: firmtally place --help'],
    [['schema', '-z', 'manifest'], 'there is no option -z'],
    [['schema', '\u001b[31m\n'], '\\u001b[31m'],
  ])('%j is refused in at most two plain lines', async (args, words) => {
    const { code, stdout, stderr } = await firmtally(args);
    expect({ code, stdout }).toEqual({ code: 2, stdout: '' });
    expect(stderr).toContain(words);
    expect(stderr.trimEnd().split('\n').length).toBeLessThanOrEqual(2);
    expect(stderr).not.toContain('\u001b');
  });
});

describe('--help', () => {
  it.each(['audit', 'validate', 'digest', 'identify', 'place', 'draft', 'schema'])(
    'of %s lists its own options, then the common ones, each once',
    async (command) => {
      const { code, stdout } = await firmtally([command, '--help']);
      expect(code).toBe(0);
      const options = Array.from(stdout.matchAll(/^ +(?:-\w, )?--(\w+)  /gm), ([, name]) => name);
      expect(options.slice(-5)).toEqual(['color', 'ascii', 'quiet', 'version', 'help']);
      expect(new Set(options).size).toBe(options.length);
    },
  );
});

describe('shell completion', () => {
  it('offers commands, choices and, after a dash, options', async () => {
    const complete = async (...words: string[]): Promise<string[]> => {
      const { stdout } = await firmtally(['--get-yargs-completions', 'firmtally', ...words]);
      return stdout.trimEnd().split('\n');
    };
    expect(await complete('')).toEqual(expect.arrayContaining(['audit', 'validate', 'schema']));
    expect(await complete('schema', '')).toEqual(expect.arrayContaining(['manifest', 'report']));
    expect(await complete('schema', '--')).toEqual(expect.arrayContaining(['--ascii', '--quiet']));
    const long = await complete('audit', '--');
    expect(long).toEqual(expect.arrayContaining(['--format', '--color', '--no-color']));
    expect(long.filter((each) => each.length < 4)).toEqual([]);
    expect(await complete('audit', '-')).toContain('-q');
    expect(await complete('completion', '')).toEqual(['bash', 'zsh']);
  });

  it('prints a script that bash accepts', async () => {
    const { code, stdout } = await firmtally(['completion'], { env: { SHELL: '/bin/bash' } });
    expect(code).toBe(0);
    expect(stdout).toContain('complete -o bashdefault');
  });

  it('prints the script of the shell that is named, whatever the login shell', async () => {
    const bash = await firmtally(['completion', 'bash'], { env: { SHELL: '/bin/zsh' } });
    expect(bash.code).toBe(0);
    expect(bash.stdout).toContain('complete -o bashdefault');
    // Else a zsh login shell would put descriptions into what bash completes.
    expect(bash.stdout).toContain('SHELL=bash ZSH_NAME= firmtally --get-yargs-completions');
    const zsh = await firmtally(['completion', 'zsh'], { env: { SHELL: '/bin/bash' } });
    expect(zsh.stdout).toMatch(/^#compdef firmtally\n/);
    expect(spawnSync('bash', ['-n'], { input: bash.stdout }).status).toBe(0);
  });
});

describe('a closed pipe', () => {
  it.skipIf(process.platform === 'win32')('ends quietly', () => {
    const script = '"$0" "$1" digest "$2" "$2" "$2" | true; echo "${PIPESTATUS[0]}"';
    const { stdout, stderr } = spawnSync('bash', ['-c', script, process.execPath, CLI, CLI], {
      encoding: 'utf8',
    });
    expect(stderr).toBe('');
    expect(['0\n', '2\n']).toContain(stdout); // 0 when all was written before the reader left
  });
});
