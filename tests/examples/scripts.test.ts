/** Runs each example script as a person would: in Node, against the built packages. */
import { execFile } from 'node:child_process';
import { createHash } from 'node:crypto';
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { crc32 } from 'node:zlib';
import type { Report } from '@firmtally/core';
import { describe, expect, it } from 'vitest';
import { generate } from '../../examples/demo/generate.mjs';
import { firmtally } from '../support/cli.js';
import { tempFolder } from '../support/temp.js';

const workspace = (path: string): string =>
  fileURLToPath(new URL(`../../${path}`, import.meta.url));
const MANIFEST = workspace('examples/demo/manifest.yaml');

interface Result {
  readonly code: number;
  readonly lines: readonly string[];
  readonly stderr: string;
}

function script(name: string, ...args: readonly string[]): Promise<Result> {
  return new Promise((resolve) => {
    const file = workspace(`examples/scripts/${name}.mjs`);
    execFile(process.execPath, [file, ...args], (error, stdout, stderr) => {
      const code = error === null ? 0 : Number(error.code);
      resolve({ code, lines: stdout.trimEnd().split('\n'), stderr });
    });
  });
}

function demo(): string {
  const folder = tempFolder();
  generate(folder);
  return folder;
}

describe('audit-folder', () => {
  it('says of each system that is not ready what to do', async () => {
    const { code, lines, stderr } = await script('audit-folder', join(demo(), 'card'), MANIFEST);
    expect({ code, stderr }).toEqual({ code: 1, stderr: '' });
    expect(lines).toContain('Siskin 16: not-ready');
    expect(lines).toContain(
      '  siskin-boot (miscased): Rename system/firmware/SISKIN.BIN to siskin.bin.',
    );
    expect(lines.at(-1)).toMatch(/^\d+ of \d+ systems are ready; .*not-ready\.$/u);
  });

  it('gives trouble one line and exit code 2', async () => {
    const { code, lines, stderr } = await script('audit-folder', 'no\u001b[31msuch', MANIFEST);
    expect({ code, lines }).toEqual({ code: 2, lines: [''] });
    expect(stderr).toBe('no\\x1b[31msuch: no such folder\n');
  });
});

describe('digest-file', () => {
  it('gives what node:crypto and node:zlib give', async () => {
    const bytes = readFileSync(MANIFEST);
    const hash = (name: string): string => createHash(name).update(bytes).digest('hex');
    const { code, lines } = await script('digest-file', MANIFEST);
    expect(code).toBe(0);
    expect(lines).toEqual([
      `size    ${bytes.length} bytes`,
      `crc32   ${crc32(bytes).toString(16).padStart(8, '0')}`,
      `md5     ${hash('md5')}`,
      `sha1    ${hash('sha1')}`,
      `sha256  ${hash('sha256')}`,
    ]);
  });
});

describe('check-manifest', () => {
  it('finds nothing in the demo manifest', async () => {
    const { code, lines } = await script('check-manifest', MANIFEST);
    expect(code).toBe(0);
    expect(lines.at(-1)).toMatch(/^\d+ systems need \d+ firmware files$/u);
  });

  it('names the place and rule of each problem', async () => {
    const file = join(tempFolder(), 'm.yaml');
    writeFileSync(file, 'firmtally: 1\nsystems:\n  osprey: {requires: [nothing]}\n');
    const { code, lines } = await script('check-manifest', file);
    expect(code).toBe(1);
    expect(lines).toHaveLength(1);
    expect(lines[0]).toContain('m.yaml:3:23: error: ');
    expect(lines[0]).toMatch(/\[unknown-firmware\]$/u);
  });
});

describe('plan-placing', () => {
  it('lists the steps and writes nothing', async () => {
    const folder = demo();
    const card = join(folder, 'card');
    const before = await firmtally(['audit', card, '-m', MANIFEST, '--format', 'json']);
    const { code, lines, stderr } = await script(
      'plan-placing',
      join(folder, 'pile'),
      card,
      MANIFEST,
    );
    expect({ code, stderr }).toEqual({ code: 1, stderr: '' });
    expect(lines).toContain(
      'copy: card > downloads/plover_boot.bin -> system/firmware/plover_boot.bin (2048 bytes)',
    );
    // Of the demo's one slip of the manifest there can be no file.
    expect(lines.at(-2)).toBe('nowhere in the pile: avocet-font');
    expect(lines.at(-1)).toBe(`${lines.length - 2} steps`);
    const after = await firmtally(['audit', card, '-m', MANIFEST, '--format', 'json']);
    expect(after.stdout).toBe(before.stdout);
  });
});

describe('compare-reports', () => {
  it('says what became wrong between two audits', async () => {
    const folder = demo();
    const card = join(folder, 'card');
    const audit = async (name: string): Promise<string> => {
      const { stdout } = await firmtally(['audit', card, '-m', MANIFEST, '--format', 'json']);
      const file = join(folder, name);
      writeFileSync(file, stdout);
      return file;
    };
    const earlier = await audit('earlier.json');
    expect(await script('compare-reports', earlier, earlier)).toMatchObject({ code: 0 });
    writeFileSync(join(card, 'system/firmware/osprey_boot.bin'), 'not what it was');
    const { code, lines } = await script('compare-reports', earlier, await audit('now.json'));
    expect(code).toBe(1);
    expect(lines).toContain('newly wrong: osprey-boot: match -> mismatch');
  });
});

describe('custom-reporter', () => {
  it('lists what is to get, of a kind with the JSON report', async () => {
    const card = join(demo(), 'card');
    const { stdout } = await firmtally(['audit', card, '-m', MANIFEST, '--format', 'json']);
    const report = JSON.parse(stdout) as Report;
    const { code, lines, stderr } = await script('custom-reporter', card, MANIFEST);
    expect({ code, stderr }).toEqual({ code: 1, stderr: '' });
    const paths = new Map(report.firmware.map(({ id, expectedPath }) => [id, expectedPath]));
    const wanted = report.toGet.flatMap(({ anyOf }) => anyOf.map((id) => paths.get(id)));
    expect(lines.map((line) => line.split('\t')[0]).sort()).toEqual(wanted.sort());
    for (const line of lines) expect(line.split('\t')).toHaveLength(3);
  });
});

describe('custom-engine', () => {
  it('comes to the same report, through its own hashes', async () => {
    const card = join(demo(), 'card');
    const { stdout } = await firmtally(['audit', card, '-m', MANIFEST, '--format', 'json']);
    const { ready } = (JSON.parse(stdout) as Report).totals.systems;
    const { code, lines, stderr } = await script('custom-engine', card, MANIFEST);
    expect({ code, stderr }).toEqual({ code: 1, stderr: '' });
    const said = /^(\d+) systems ready, (\d+) bytes hashed$/u.exec(lines[0] ?? '');
    expect(Number(said?.[1])).toBe(ready);
    expect(Number(said?.[2])).toBeGreaterThan(10_000);
  });
});

describe('custom-source', () => {
  it('audits files that are on no disk', async () => {
    const { code, lines } = await script('custom-source');
    expect(code).toBe(0);
    expect(lines).toEqual(['osprey: ready', 'osprey-printer: not-ready']);
  });
});
