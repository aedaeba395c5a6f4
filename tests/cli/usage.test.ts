import { describe, expect, it } from 'vitest';
import { firmtally } from '../support/cli.js';

describe('a wrong command line', () => {
  it.each([
    [[], 'Name a command'],
    [['schem'], 'Did you mean schema?'],
    [['schema'], 'schema needs <name>'],
    [['schema', 'manifes'], 'Did you mean manifest?'],
    [['schema', 'manifest', 'extra'], '"extra" is one word too many'],
    [['schema', '--asci', 'manifest'], 'Did you mean --ascii?'],
    [['schema', '-z', 'manifest'], 'there is no option -z'],
    [['schema', '\u001b[31m\n'], '\\x1b[31m'],
  ])('%j is refused in at most two plain lines', async (args, words) => {
    const { code, stdout, stderr } = await firmtally(args);
    expect({ code, stdout }).toEqual({ code: 2, stdout: '' });
    expect(stderr).toContain(words);
    expect(stderr.trimEnd().split('\n').length).toBeLessThanOrEqual(2);
    expect(stderr).not.toContain('\u001b');
  });
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
    expect(await complete('audit', '--f')).toContain('--format');
  });

  it('prints a script that bash accepts', async () => {
    const { code, stdout } = await firmtally(['completion'], { env: { SHELL: '/bin/bash' } });
    expect(code).toBe(0);
    expect(stdout).toContain('complete -o bashdefault');
  });
});
