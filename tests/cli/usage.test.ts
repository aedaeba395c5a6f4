import { spawnSync } from 'node:child_process';
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
import { CLI, firmtally } from '../support/cli.js';
import { tempFolder } from '../support/temp.js';

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
    'of %s lists its own options, then the common ones, each once, and the cautions',
    async (command) => {
      const { code, stdout, stderr } = await firmtally([command, '--help']);
      expect({ code, stderr }).toEqual({ code: 0, stderr: '' });
      const [lists = ''] = stdout.split('Examples:');
      const options = Array.from(lists.matchAll(/^ +(?:-\w, )?--([\w-]+) /gm), ([, name]) => name);
      expect(options.slice(-7).join()).toBe('output,color,no-color,ascii,quiet,version,help');
      expect(new Set(options).size).toBe(options.length);
      expect(stdout).toContain('keep a backup of the card');
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

  it.each([80, 40])('of every command fits %i columns', async (columns) => {
    for (const command of commands) {
      const { stdout } = await firmtally([command, '--help'], {
        env: { COLUMNS: String(columns) },
      });
      const wide = stdout.split('\n').filter((line) => line.length > columns);
      expect(wide, command).toEqual([]);
    }
  });
});

describe('words that only look like options', () => {
  it.each([['-x'], ['--help'], ['-']])('%s after -- is an operand', async (word) => {
    const { stdout, stderr } = await firmtally(['digest', '--', word], { input: 'a' });
    expect(word === '-' ? stdout : stderr).toContain(word === '-' ? '-\n  size    1' : `${word}: `);
  });
});

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

describe('shell completion', () => {
  const withManifests = (): string => {
    const cwd = tempFolder();
    writeFileSync(
      join(cwd, 'card.yaml'),
      'firmtally: 1\nsystems: {osprey: {name: "Osprey: 8"}, kestrel: {}}\nloadouts: {pocket: [osprey]}\n',
    );
    writeFileSync(join(cwd, 'bad.yaml'), 'systems: [\n');
    return cwd;
  };

  const complete = async (shell: string, words: string[], cwd?: string): Promise<string[]> => {
    const options = cwd === undefined ? {} : { cwd };
    const result = await firmtally(['--complete', shell, 'firmtally', ...words], options);
    expect({ code: result.code, stderr: result.stderr }).toEqual({ code: 0, stderr: '' });
    return result.stdout === '' ? [] : result.stdout.trimEnd().split('\n');
  };

  it('offers commands, choices and, after a dash, options', async () => {
    expect(await complete('bash', [''])).toEqual(
      expect.arrayContaining(['audit', 'validate', 'schema', 'completion', 'help']),
    );
    expect(await complete('bash', ['sch'])).toEqual(['schema']);
    expect(await complete('bash', ['help', 'sch'])).toEqual(['schema']);
    expect(await complete('bash', ['schema', ''])).toEqual(
      expect.arrayContaining(['manifest', 'report']),
    );
    expect(await complete('bash', ['audit', 'card', '--format', ''])).toContain('json');
    expect(await complete('bash', ['audit', '--format=js'])).toEqual(['json']);
    expect(await complete('bash', ['audit', '--format', '=', 'js'])).toEqual(['json']);
    const long = await complete('bash', ['audit', '--']);
    expect(long).toEqual(expect.arrayContaining(['--format', '--color', '--no-color', '--output']));
    expect(long.filter((each) => each.length < 4)).toEqual([]);
    expect(await complete('bash', ['audit', '-'])).toContain('-q');
    expect(await complete('bash', ['completion', ''])).toEqual(['bash', 'zsh']);
    // Names of files are the shell's to complete.
    expect(await complete('bash', ['audit', ''])).toEqual([]);
    expect(await complete('bash', ['audit', '-m', ''])).toEqual([]);
    expect(await complete('bash', ['nosuch', ''])).toEqual([]);
  });

  it('offers the systems and loadouts of the manifests given, and nothing of a wrong one', async () => {
    const cwd = withManifests();
    const audit = ['audit', 'card', '-m', 'card.yaml'];
    expect(await complete('bash', [...audit, '--system', ''], cwd)).toEqual(['kestrel', 'osprey']);
    expect(await complete('bash', [...audit, '--system', 'kestrel,o'], cwd)).toEqual([
      'kestrel,osprey',
    ]);
    expect(await complete('bash', [...audit, '--loadout', 'p'], cwd)).toEqual(['pocket']);
    expect(await complete('zsh', [...audit, '--system', 'o'], cwd)).toEqual(['osprey:Osprey: 8']);
    expect(
      await complete('bash', ['audit', 'card', '-m', 'bad.yaml', '--system', ''], cwd),
    ).toEqual([]);
    expect(
      await complete('bash', ['audit', 'card', '-m', 'none.yaml', '--system', ''], cwd),
    ).toEqual([]);
  });

  it.skipIf(process.platform === 'win32')('completes in bash', () => {
    const cwd = withManifests();
    const bin = tempFolder();
    writeFileSync(join(bin, 'firmtally'), `#!/bin/sh\nexec "${process.execPath}" "${CLI}" "$@"\n`, {
      mode: 0o755,
    });
    const script = `source <(firmtally completion bash)
      COMP_WORDS=(firmtally audit . -m card.yaml --system k) COMP_CWORD=6
      _firmtally_complete; echo "\${COMPREPLY[*]}"; complete -p firmtally`;
    const { stdout } = spawnSync('bash', ['-c', script], {
      cwd,
      encoding: 'utf8',
      env: { ...process.env, PATH: `${bin}:${process.env['PATH'] ?? ''}` },
    });
    expect(stdout).toBe(
      'kestrel\ncomplete -o bashdefault -o default -F _firmtally_complete firmtally\n',
    );
  });

  it('prints the script of the shell that is named, whatever the login shell', async () => {
    const bash = await firmtally(['completion', 'bash'], { env: { SHELL: '/bin/zsh' } });
    const zsh = await firmtally(['completion'], { env: { SHELL: '/bin/zsh' } });
    expect(bash.stdout).toContain('complete -o bashdefault');
    expect(zsh.stdout).toMatch(/^#compdef firmtally\n/);
    const unknown = await firmtally(['completion'], { env: { SHELL: '/bin/tcsh' } });
    expect(unknown).toMatchObject({
      code: 2,
      stderr: expect.stringContaining('bash, zsh') as string,
    });
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
