import { spawnSync } from 'node:child_process';
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { CLI, firmtally } from '../support/cli.js';
import { tempFolder } from '../support/temp.js';

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
