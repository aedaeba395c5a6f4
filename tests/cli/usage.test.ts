import { spawnSync } from 'node:child_process';
import { describe, expect, it } from 'vitest';
import { CLI, firmtally } from '../support/cli.js';

describe('a wrong command line', () => {
  it.each([
    [[], 'Name a command'],
    [['schem'], 'Did you mean schema?'],
    [['completion', 'tcsh'], '<shell> "tcsh" is not one of: bash, zsh'],
    [['completion', 'zsh', 'bash'], '"bash" is one word too many'],
    [['schema'], 'schema needs <name>'],
    [['place'], 'place needs --onto <folder>'],
    [['audit', 'x', '-m'], '-m needs a value'],
    [['audit', 'x', '-m', 'y', '--format', 'xml'], 'is not one of: table'],
    [['schema', 'manifes'], 'Did you mean manifest?'],
    [['schema', 'manifest', 'extra'], '"extra" is one word too many'],
    [['schema', '--asci', 'manifest'], 'Did you mean --ascii?'],
    [['place', 'pile', '--sourc', 'x'], 'there is no option --sourc\nSee: firmtally place --help'],
    [['schema', '-z', 'manifest'], 'there is no option -z'],
    [['schema', '\u001b[31m\n'], '\\x1b[31m'],
    [['help', 'schem'], 'Did you mean schema?'],
    // One value where one is wanted, in every command.
    [['validate', 'a', '--format', 'json', '--format', 'json'], '--format is given more than once'],
    [['digest', 'a', '--format', 'json', '--format', 'text'], '--format is given more than once'],
    [['place', '--onto', 'a', '--onto', 'b', '-m', 'c'], '--onto is given more than once'],
    [['schema', 'plan', '-o', 'a', '--output', 'b'], '--output is given more than once'],
    // Neither a dot nor `no-` has a meaning of its own.
    [['schema', 'manifest', '--a.b', 'c'], 'there is no option --a.b'],
    [['schema', 'manifest', '--no-output'], 'there is no option --no-output'],
    [['audit', 'x', '-m', 'y', '--no-format'], 'there is no option --no-format'],
    [['schema', 'manifest', '--__proto__', 'x'], 'there is no option --'],
    [['validate', ''], '<manifest> is empty'],
    [['schema', 'manifest', '--output='], '--output is empty'],
  ])('%j is refused in at most two plain lines', async (args, words) => {
    const { code, stdout, stderr } = await firmtally(args);
    expect({ code, stdout }).toEqual({ code: 2, stdout: '' });
    expect(stderr).toContain(words);
    expect(stderr.trimEnd().split('\n').length).toBeLessThanOrEqual(2);
    expect(stderr).not.toContain('\u001b');
  });
});

describe('--help', () => {
  const commands = [
    ...['audit', 'validate', 'digest', 'identify', 'place', 'draft', 'schema', 'completion'],
  ];

  it.each(commands)(
    'of %s lists its own options, then the common ones, each once, and the cautions, in 80 columns and in 40',
    async (command) => {
      const [help = '', narrow = ''] = await Promise.all(
        [80, 40].map(async (columns) => {
          const env = { COLUMNS: String(columns) };
          const { code, stdout, stderr } = await firmtally([command, '--help'], { env });
          expect({ code, stderr }).toEqual({ code: 0, stderr: '' });
          expect(stdout.split('\n').filter((line) => line.length > columns)).toEqual([]);
          return stdout;
        }),
      );
      const [lists = ''] = help.split('Examples:');
      const options = Array.from(lists.matchAll(/^ +(?:-\w, )?--([\w-]+) /gm), ([, name]) => name);
      expect(options.slice(-7).join()).toBe('output,color,no-color,ascii,quiet,version,help');
      expect(new Set(options).size).toBe(options.length);
      expect(help).toContain('keep a backup of the card');
      expect(narrow.replaceAll(/\s+/g, ' ')).toContain('keep a backup of the card');
    },
  );

  it.each([
    [['help'], ['--help']],
    [
      ['help', 'audit'],
      ['audit', '--help'],
    ],
    [
      ['help', 'completion'],
      ['completion', '-h'],
    ],
  ])('is the same as %j', async (words, same) => {
    const [help, option] = await Promise.all([firmtally(words), firmtally(same)]);
    expect(help).toEqual(option);
    expect(help.code).toBe(0);
  });
});

describe('words that only look like options', () => {
  it.each([['-x'], ['--help'], ['-']])('%s after -- is an operand', async (word) => {
    const { stdout, stderr } = await firmtally(['digest', '--', word], { input: 'a' });
    expect(word === '-' ? stdout : stderr).toContain(word === '-' ? '-\n  size    1' : `${word}: `);
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
