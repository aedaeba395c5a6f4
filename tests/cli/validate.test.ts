import { execFileSync } from 'node:child_process';
import { chmodSync, mkdirSync, symlinkSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { schemaText } from '@firmtally/core';
import { Ajv2020 } from 'ajv/dist/2020.js';
import { describe, expect, it } from 'vitest';
import { CLI, firmtally } from '../support/cli.js';
import { tempFolder } from '../support/temp.js';

const GOOD = 'firmtally: 1\nsystems: {osprey: {name: Osprey 8}}\n';
const BAD = 'firmtally: 1\ntitel: x\nsystems:\n  osprey: {requires: [nothing]}\n';
const UNUSED = 'firmtally: 1\nfirmware: {a: {path: a}}\n';

function folderWith(files: Readonly<Record<string, string | Uint8Array>>): string {
  const folder = tempFolder();
  for (const [name, content] of Object.entries(files)) writeFileSync(join(folder, name), content);
  return folder;
}

describe('firmtally validate', () => {
  it('says that a manifest is valid, exit 0', async () => {
    const cwd = folderWith({ 'good.yaml': GOOD });
    expect(await firmtally(['validate', 'good.yaml'], { cwd })).toEqual({
      code: 0,
      stdout: '1 system, 0 firmware files, 0 loadouts\n1 manifest: valid\n',
      stderr: '',
    });
  });

  it('prints every problem and a summary last, exit 1', async () => {
    const cwd = folderWith({ 'bad.yaml': BAD, 'good.yaml': GOOD });
    const result = await firmtally(['validate', 'bad.yaml', 'good.yaml', '--ascii'], { cwd });
    expect(result.code).toBe(1);
    expect(result.stderr).toBe('');
    expect(result.stdout).toContain('bad.yaml:2:1: error: The key "titel" means nothing here');
    expect(result.stdout).toContain('  = did you mean "title"?\n');
    expect(result.stdout).toContain('good.yaml:2:11: error: The system "osprey" is defined');
    expect(result.stdout).toMatch(/\n\n2 manifests: invalid \(3 errors\)\n$/);
    expect(result.stdout).not.toContain('\x1b');
  });

  it('lets warnings pass, exit 0', async () => {
    const cwd = folderWith({ 'unused.yaml': UNUSED });
    const result = await firmtally(['validate', 'unused.yaml'], { cwd });
    expect(result.code).toBe(0);
    expect(result.stdout).toMatch(
      /warning: No system names.*\n[^]*\n1 manifest: valid \(1 warning\)\n$/,
    );
  });

  it('says what a valid manifest holds, in text and in JSON', async () => {
    const text =
      'firmtally: 1\nfirmware: {a: {path: a}, b: {path: b, dumps: [{size: 5}]}, c: {path: c, dumps: [{crc32: 1c2d3e4f}]}}\n' +
      'systems: {s: {requires: [a, b, c]}}\nloadouts: {l: [s]}\n';
    const cwd = folderWith({ 'm.yaml': text });
    const shown = await firmtally(['validate', 'm.yaml'], { cwd });
    expect(shown.stdout).toMatch(
      /\n1 system, 3 firmware files \(2 without a checksum\), 1 loadout\n1 manifest: valid \(1 warning\)\n$/,
    );
    const json = await firmtally(['validate', 'm.yaml', '--format', 'json'], { cwd });
    expect(JSON.parse(json.stdout)).toMatchObject({
      holds: { systems: 1, firmware: 3, withoutDigest: 2, loadouts: 1 },
      faults: [],
    });
  });

  it('never prints an empty success for a file it could not read', async () => {
    const cwd = folderWith({ 'good.yaml': GOOD });
    const result = await firmtally(['validate', 'good.yaml', 'gone.yaml', '--format', 'json'], {
      cwd,
    });
    expect(result.code).toBe(2);
    expect(JSON.parse(result.stdout)).toMatchObject({
      holds: null,
      problems: [],
      faults: [
        { path: 'gone.yaml', code: 'manifest-unreadable', message: 'There is no such file.' },
      ],
    });
  });

  it('reads UTF-16 with a byte-order mark, as PowerShell writes it', async () => {
    const cwd = folderWith({ 'm.yaml': Buffer.from(`\ufeff${GOOD}`, 'utf16le') });
    const result = await firmtally(['validate', 'm.yaml'], { cwd });
    expect(result.code).toBe(0);
  });

  it('prints JSON that its schema accepts', async () => {
    const cwd = folderWith({ 'bad.yaml': BAD });
    const result = await firmtally(['validate', 'bad.yaml', '--format', 'json'], { cwd });
    expect(result.code).toBe(1);
    const document = JSON.parse(result.stdout) as { problems: { rule: string }[] };
    const ajv = new Ajv2020();
    const isValid = ajv.compile(JSON.parse(schemaText('validation')) as object);
    expect(isValid(document), JSON.stringify(isValid.errors)).toBe(true);
    expect(document.problems.map(({ rule }) => rule)).toEqual(['unknown-key', 'unknown-firmware']);
  });

  it('prints SARIF with paths as URI references', async () => {
    const cwd = folderWith({ 'my card #1.yaml': BAD });
    const result = await firmtally(['validate', 'my card #1.yaml', '--format=sarif'], { cwd });
    expect(result.code).toBe(1);
    const log = JSON.parse(result.stdout) as { version: string };
    expect(log.version).toBe('2.1.0');
    expect(result.stdout).toContain('"uri": "my%20card%20%231.yaml"');
  });

  it('reads standard input', async () => {
    const result = await firmtally(['validate', '-'], { input: BAD });
    expect(result.code).toBe(1);
    expect(result.stdout).toMatch(/^<stdin>:2:1: error/);
  });

  it('escapes what a manifest holds', async () => {
    const cwd = folderWith({ 'x.yaml': 'firmtally: 1\n"\\e[31mred\\u202e": 1\n' });
    const { stdout } = await firmtally(['validate', 'x.yaml'], { cwd });
    expect(stdout).toContain('The key "\\x1b[31mred\\u{202e}" means nothing here');
    expect(stdout).not.toMatch(/[\x1b\u202e]/);
  });

  it('reads only as much of a huge file as it needs to refuse it', async () => {
    const cwd = folderWith({ 'huge.yaml': new Uint8Array(100 * 1024 * 1024).fill(0x23) });
    const result = await firmtally(['validate', 'huge.yaml'], {
      cwd,
      // A whole copy of the file would not fit.
      env: { NODE_OPTIONS: '--max-old-space-size=64' },
    });
    expect(result.code).toBe(1);
    expect(result.stdout).toContain('larger than 4 MiB');
  });

  it.each([
    ['a missing file', 'none.yaml', /manifest none\.yaml: there is no such file\.\nCheck the path/],
    ['a folder', 'folder', /folder: this is a folder, not a file\.\nName the file/],
    ['a file below a file', 'good.yaml/x', /good\.yaml\/x: there is no such file\./],
  ])('refuses %s in two lines, exit 2', async (_name, path, message) => {
    const cwd = folderWith({ 'good.yaml': GOOD });
    mkdirSync(join(cwd, 'folder'));
    const result = await firmtally(['validate', path], { cwd });
    expect(result).toMatchObject({ code: 2, stdout: '' });
    expect(result.stderr).toMatch(message);
    expect(result.stderr.trimEnd().split('\n')).toHaveLength(2);
  });

  // Neither Windows nor the superuser knows files that may not be read.
  it.skipIf(process.platform === 'win32' || process.getuid?.() === 0)(
    'refuses a file that may not be read, exit 2',
    async () => {
      const cwd = folderWith({ 'secret.yaml': GOOD });
      chmodSync(join(cwd, 'secret.yaml'), 0);
      const result = await firmtally(['validate', 'secret.yaml'], { cwd });
      expect(result.code).toBe(2);
      expect(result.stderr).toContain('secret.yaml: it may not be read.');
    },
  );

  // A FIFO would be waited for without end; the process would never close.
  it.skipIf(process.platform === 'win32')(
    'refuses a FIFO, also behind a link, and reads the pipe of <(command)',
    async () => {
      const cwd = folderWith({ 'good.yaml': GOOD });
      execFileSync('mkfifo', [join(cwd, 'fifo.yaml')]);
      symlinkSync('fifo.yaml', join(cwd, 'link.yaml'));
      const refused = await firmtally(['validate', 'fifo.yaml', 'link.yaml'], { cwd });
      expect(refused).toMatchObject({ code: 2, stdout: '' });
      expect(refused.stderr).toMatch(/fifo\.yaml: this is a FIFO.*\nPipe its content in/);
      expect(refused.stderr).toMatch(/link\.yaml: this is a FIFO/);
      const script = '"$0" "$1" validate <(cat good.yaml)';
      const read = execFileSync('bash', ['-c', script, process.execPath, CLI], { cwd });
      expect(read.toString()).toMatch(/^1 manifest: valid$/m);
    },
  );

  it.each(['text', 'json'])('checks what can be read beside what cannot: %s', async (format) => {
    const cwd = folderWith({ 'good.yaml': GOOD, 'bad.yaml': BAD.replace('osprey', 'kestrel') });
    const args = ['validate', 'good.yaml', 'none.yaml', 'bad.yaml', '--format', format];
    const result = await firmtally(args, { cwd });
    expect(result.code).toBe(2);
    expect(result.stderr).toContain('manifest none.yaml: there is no such file.');
    expect(result.stdout).toContain('unknown-key');
    // none.yaml may define it.
    expect(result.stdout).not.toContain('unknown-firmware');
    if (format === 'json') expect(JSON.parse(result.stdout)).toMatchObject({ validation: 1 });
  });

  it('shows 200 of many problems as text, and keeps 10,000 of each severity', async () => {
    const keys = Array.from({ length: 10_050 }, (_, index) => `k${index}: 1\n`).join('');
    const cwd = folderWith({ 'many.yaml': `firmtally: 1\n${keys}` });
    const { code, stdout } = await firmtally(['validate', 'many.yaml'], { cwd });
    expect(code).toBe(1);
    expect(stdout.match(/\[unknown-key\]/g)).toHaveLength(200);
    expect(stdout).toMatch(/\nand 9801 more, not shown here\n/);
    expect(stdout).toMatch(/\n1 manifest: invalid \(more than 10000 errors\)\n$/);
  });

  it('needs a manifest', async () => {
    const result = await firmtally(['validate']);
    expect(result.code).toBe(2);
    expect(result.stderr).not.toMatch(/\n\s+at /);
  });
});
