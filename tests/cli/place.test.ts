import { spawn } from 'node:child_process';
import { createHash } from 'node:crypto';
import { once } from 'node:events';
import {
  closeSync,
  existsSync,
  mkdirSync,
  openSync,
  readdirSync,
  readFileSync,
  truncateSync,
  writeFileSync,
} from 'node:fs';
import { dirname, join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { Ajv2020 } from 'ajv/dist/2020.js';
import type { PlanDocument } from '@firmtally/core';
import { describe, expect, it } from 'vitest';
import { CLI, firmtally, type CliResult } from '../support/cli.js';
import { makeZip } from '../support/zip.js';
import { needsAnyNames } from '../support/system.js';
import { tempFolder } from '../support/temp.js';

/** Invented contents; digests by GNU coreutils 9.1 (`printf 'alpha\n' | sha1sum`), so that the whole way is checked from outside. */
const ALPHA = 'alpha\n';
const BRAVO = 'bravo\n';
const MANIFEST = `firmtally: 1
folder: fw
firmware:
  wren-boot: {path: boot.bin, dumps: [{label: rev A, size: 6, sha1: d046cd9b7ffb7661e449683313d41f6fc33e3130}]}
  wren-font: {path: font.bin, dumps: [{size: 6, sha1: bb596efe9e3023a502013767a0559a94a5eea4bc}]}
systems:
  wren: {name: Wren, requires: [wren-boot], optional: [wren-font]}
loadouts:
  other: {systems: [wren], folder: elsewhere}
`;

const validate = new Ajv2020({ strict: true, allowUnionTypes: true }).compile(
  JSON.parse(
    readFileSync(new URL('../../data-schemas/plan.schema.json', import.meta.url), 'utf8'),
  ) as object,
);

interface Setting {
  readonly root: string;
  readonly place: (...args: readonly string[]) => Promise<CliResult>;
  readonly read: (path: string) => string;
}

function setting(files: Readonly<Record<string, string>>): Setting {
  const root = tempFolder();
  mkdirSync(join(root, 'card'));
  mkdirSync(join(root, 'pile'));
  for (const [path, content] of Object.entries({ ...files, 'wren.yaml': MANIFEST })) {
    mkdirSync(dirname(join(root, path)), { recursive: true });
    writeFileSync(join(root, path), content);
  }
  return {
    root,
    place: (...args) =>
      firmtally(['place', ...args, '--onto', 'card', '-m', 'wren.yaml'], { cwd: root }),
    read: (path) => readFileSync(join(root, path), 'utf8'),
  };
}

function makeSparse(path: string, size: number): void {
  closeSync(openSync(path, 'w'));
  truncateSync(path, size);
}

function documentOf(result: CliResult): PlanDocument {
  const document = JSON.parse(result.stdout) as PlanDocument;
  expect(validate(document), JSON.stringify(validate.errors)).toBe(true);
  return document;
}

describe('place', () => {
  it('prints a plan and writes nothing', async () => {
    const { place, root } = setting({ 'pile/a': ALPHA });
    const result = await place('pile');
    expect(result.code).toBe(1);
    expect(result.stderr).toBe('');
    expect(result.stdout.split('\n').slice(0, 3)).toEqual([
      'onto card',
      '0 of 1 system is ready now, 1 after placing.',
      'Nothing is left to get (and 1 optional).',
    ]);
    expect(result.stdout).toMatch(/KiB needed \(2 clusters of .*, .* free: it fits\./);
    expect(result.stdout).toContain('Wren: copy wren-boot (rev A), 6 B');
    expect(result.stdout).toContain('keep a backup of the card');
    expect(result.stdout.trimEnd().split('\n').at(-1)).toBe(
      '1 step planned; nothing was written; add --apply to do it.',
    );
    expect(existsSync(join(root, 'card/fw'))).toBe(false);
  });

  it('gives the plan as JSON, the same for the same input', async () => {
    const { place } = setting({ 'pile/a': ALPHA, 'card/fw/boot.bin': 'wrong!' });
    const first = await place('pile', '--format', 'json', '--cluster', '16K');
    const document = documentOf(first);
    expect(document).toMatchObject({
      plan: 1,
      onto: 'card',
      cluster: 16384,
      steps: [
        {
          kind: 'copy',
          firmware: 'wren-boot',
          from: { source: 'pile', path: 'a', inside: [] },
          to: 'fw/boot.bin',
          size: 6,
          clusters: 1,
        },
      ],
      kept: [{ path: 'fw/boot.bin', to: 'firmtally-kept/fw/boot.bin', size: 6 }],
      toGet: [{ anyOf: ['wren-font'], systems: ['wren'], optional: true, facts: [] }],
      hints: [],
      problems: [],
      systems: [{ id: 'wren', readiness: 'not-ready' }],
      after: {
        systems: [{ id: 'wren', readiness: 'ready' }],
        totals: { systems: { ready: 1 }, firmware: { match: 1, missing: 1 } },
      },
      fits: true,
      // One file, and the two new folders for what is kept.
      space: { needed: 3 * 16384, clusters: 3, clusterSize: 16384 },
    });
    const second = documentOf(await place('pile', '--format', 'json', '--cluster', '16K'));
    expect({ ...second, space: null }).toEqual({ ...document, space: null });
  });

  it('--apply shows the cautions, places, keeps what was in the way, and ends ready', async () => {
    const { place, read } = setting({ 'pile/a': ALPHA, 'card/fw/boot.bin': 'wrong!' });
    const result = await place('pile', '--apply');
    expect(result.code).toBe(0);
    expect(result.stderr.split('\n')[0]).toMatch(/^Caution: The wrong firmware can stop a device/);
    expect(result.stdout).toContain(
      '\u2713 1. Wren: copy wren-boot (rev A), 6 B -> fw/boot.bin\n     kept: fw/boot.bin as firmtally-kept/fw/boot.bin\n',
    );
    expect(result.stdout.trimEnd().split('\n').slice(-2)).toEqual([
      'What was in the way is in firmtally-kept/ on the card.',
      '1 of 1 system is ready. 1 of 1 step done.',
    ]);
    expect(read('card/fw/boot.bin')).toBe(ALPHA);
    expect(read('card/firmtally-kept/fw/boot.bin')).toBe('wrong!');
    expect(read('pile/a')).toBe(ALPHA);

    const again = await place('pile');
    expect([again.code, again.stdout.trimEnd().split('\n').at(-1)]).toEqual([
      0,
      'Nothing to do; nothing was written.',
    ]);
  });

  it('--apply gives what became of each step as JSON', async () => {
    const { place } = setting({ 'pile/a': ALPHA, 'pile/b': BRAVO });
    const result = await place('pile', '--apply', '--format', 'json');
    expect(result.code).toBe(0);
    expect(documentOf(result)).toMatchObject({
      result: [
        { to: 'fw/boot.bin', outcome: 'done', message: null },
        { to: 'fw/font.bin', outcome: 'done', message: null },
      ],
      systems: [{ id: 'wren', readiness: 'ready' }],
    });
  });

  it('names the games folder that keeps a system from being ready, before and after', async () => {
    const { root, place } = setting({ 'pile/a': ALPHA, 'card/games/one.wrn': '' });
    const folders =
      '{name: Wren, folders: [{path: games, holds: {at-least: 2, extensions: [wrn]}}],';
    writeFileSync(join(root, 'wren.yaml'), MANIFEST.replace('{name: Wren,', folders));
    const tooFew = [{ path: 'games', found: 1, atLeast: 2 }];
    const row = { id: 'wren', readiness: 'not-ready', tooFew };
    expect(documentOf(await place('pile', '--format', 'json'))).toMatchObject({
      systems: [row],
      after: { systems: [row] },
    });
    const line = '- not-ready: Wren (games: 1 file of at least 2)\n';
    expect((await place('pile')).stdout).toContain(`Not ready after placing\n${line}`);
    const applied = await place('pile', '--apply');
    expect(applied.code).toBe(1);
    expect(applied.stdout).toContain(`Not ready yet\n${line}`);
  });

  it('takes single files, and the card alone', async () => {
    const { place, read } = setting({ 'one.dat': ALPHA, 'card/old/x.dat': BRAVO });
    expect(documentOf(await place('one.dat', '--format', 'json')).steps[0]).toMatchObject({
      from: { source: 'one.dat', path: '', inside: [] },
    });
    const result = await place('--apply');
    expect(result.code).toBe(1);
    expect(result.stdout).toContain('copy wren-font');
    expect(read('card/fw/font.bin')).toBe(BRAVO);
    expect((await place('one.dat', '--apply')).code).toBe(0);
    expect(read('card/fw/boot.bin')).toBe(ALPHA);
  });

  it('honours the folder of a loadout', async () => {
    const { place, read } = setting({ 'pile/a': ALPHA });
    expect((await place('pile', '--loadout', 'other', '--apply')).code).toBe(0);
    expect(read('card/elsewhere/boot.bin')).toBe(ALPHA);
  });

  it('takes members out of a ZIP of any name in the pile', async () => {
    const { root, place, read } = setting({});
    const members = [ALPHA, BRAVO].map((text, n) => ({ path: `m${n}`, bytes: Buffer.from(text) }));
    writeFileSync(join(root, 'pile/a.dat'), makeZip(members));
    expect((await place('pile', '--apply')).code).toBe(0);
    expect([read('card/fw/boot.bin'), read('card/fw/font.bin')]).toEqual([ALPHA, BRAVO]);
  });

  it('--repair leaves a damaged alternative alone where another lies there exact', async () => {
    const { root, place } = setting({
      'pile/boot.bin': `${ALPHA}\xff\xff`,
      'pile/font.bin': BRAVO,
    });
    const anyOf = MANIFEST.replace(
      'requires: [wren-boot]',
      'requires: [{any-of: [wren-boot, wren-font]}]',
    );
    writeFileSync(join(root, 'wren.yaml'), anyOf.replace(', optional: [wren-font]', ''));
    const { stdout } = await place('pile', '--repair', '--format', 'json');
    const { steps } = JSON.parse(stdout) as PlanDocument;
    expect(steps.map(({ kind, firmware }) => [kind, firmware])).toEqual([['copy', 'wren-font']]);
  });

  it('--repair writes the corrected copy; without it says what it could do', async () => {
    const { place, read } = setting({ 'pile/boot.bin': `JUNKJUNK${ALPHA}` });
    const without = await place('pile');
    expect(without.code).toBe(1);
    expect(without.stdout.replaceAll(/\s+/g, ' ')).toContain(
      'a corrected one can be made of it. Add --repair to do so.',
    );
    expect(without.stdout.trimEnd()).toMatch(/No step is possible; nothing was written\.$/);
    const result = await place('pile', '--repair', '--apply');
    expect(result.code).toBe(0);
    expect(read('card/fw/boot.bin')).toBe(ALPHA);
    expect(read('pile/boot.bin')).toBe(`JUNKJUNK${ALPHA}`);
  });

  it('removes what a killed run left, and says so in the plan', async () => {
    const left = 'card/fw/.firmtally-00112233445566aa.part';
    const { place, root } = setting({ 'card/fw/boot.bin': ALPHA, [left]: 'half' });
    const plan = await place();
    expect(plan.code).toBe(1);
    expect(plan.stdout).toContain('Left by an earlier run\n- fw/.firmtally-');
    expect(existsSync(join(root, left))).toBe(true);
    expect((await place('--apply')).code).toBe(0);
    expect(existsSync(join(root, left))).toBe(false);
  });

  it('fits 40 columns', async () => {
    const { root } = setting({ 'pile/a rather long name of a file.bin': ALPHA });
    const { stdout } = await firmtally(['place', 'pile', '--onto', 'card', '-m', 'wren.yaml'], {
      cwd: root,
      env: { COLUMNS: '40' },
    });
    for (const line of stdout.split('\n')) expect(line.length, line).toBeLessThanOrEqual(40);
  });

  it('prints hostile names escaped', async (context) => {
    needsAnyNames(context);
    const { place } = setting({ 'pile/a\u001b[31m\n': ALPHA });
    const { stdout } = await place('pile');
    expect(stdout).toContain('pile: a\\x1b[31m\\n');
    expect(stdout).not.toContain('\u001b');
  });
});

it('ends cleanly on Ctrl-C', async ({ skip }) => {
  if (process.platform === 'win32')
    skip('there, SIGINT from another process ends this one at once');
  const { root } = setting({});
  const large = Buffer.alloc(64 * 1024 * 1024, 'invented');
  writeFileSync(join(root, 'pile/large'), large);
  const sha1 = createHash('sha1').update(large).digest('hex');
  writeFileSync(
    join(root, 'large.yaml'),
    `{firmtally: 1, firmware: {a: {path: a.bin, dumps: [{size: ${large.length}, sha1: ${sha1}}]}}, systems: {s: {name: S, requires: [a]}}}`,
  );
  const args = ['place', 'pile', '--onto', 'card', '-m', 'large.yaml', '--apply'];
  const child = spawn(process.execPath, [CLI, ...args], { cwd: root, stdio: 'pipe' });
  const closed = once(child, 'close');
  let stderr = '';
  child.stderr.on('data', (chunk: Buffer) => (stderr += chunk.toString()));
  while (readdirSync(join(root, 'card')).length === 0 && child.exitCode === null) await sleep(1);
  child.kill('SIGINT');
  expect(await closed).toEqual([2, null]);
  expect(stderr).toContain('firmtally: card: Interrupted.\n');
  expect(readdirSync(join(root, 'card'))).toEqual([]);
});

it('says that nothing was written when it is interrupted while it reads', async (context) => {
  if (process.platform === 'win32') context.skip('Windows has no SIGINT to send');
  const { root } = setting({});
  // Sparse, so that reading takes time and making it does not.
  for (let n = 0; n < 4; n++) makeSparse(join(root, `pile/large-${n}`), 2 ** 30);
  const sha1 = '0'.repeat(39) + '1';
  writeFileSync(
    join(root, 'large.yaml'),
    `{firmtally: 1, firmware: {a: {path: a.bin, dumps: [{size: ${2 ** 30}, sha1: "${sha1}"}]}}, systems: {s: {name: S, requires: [a]}}}`,
  );
  const args = ['place', 'pile', '--onto', 'card', '-m', 'large.yaml', '--apply'];
  const child = spawn(process.execPath, [CLI, ...args], { cwd: root, stdio: 'pipe' });
  const closed = once(child, 'close');
  let stderr = '';
  child.stderr.on('data', (chunk: Buffer) => (stderr += chunk.toString()));
  // The cautions come first.
  await once(child.stderr, 'data');
  await sleep(500);
  child.kill('SIGINT');
  expect(await closed).toEqual([2, null]);
  expect(stderr).toContain('firmtally: card: Interrupted; nothing was written.\n');
  expect(readdirSync(join(root, 'card'))).toEqual([]);
});

it('a step that fails is exit code 2, and the others are done', async () => {
  const { place, root } = setting({ 'pile/a': ALPHA, 'pile/b': BRAVO, 'card/firmtally-kept': 'x' });
  mkdirSync(join(root, 'card/fw'));
  // A half-done case fix that cannot be settled: the folder for what is kept is a file.
  writeFileSync(join(root, 'card/fw/.firmtally-00112233445566aa.case-boot.bin'), 'half');
  writeFileSync(join(root, 'card/fw/boot.bin'), ALPHA);
  const result = await place('pile', '--apply');
  expect(result.code).toBe(2);
  expect(result.stderr).toContain('.case-boot.bin: ');
  expect(existsSync(join(root, 'card/fw/font.bin'))).toBe(true);
});

describe('place refuses', () => {
  it.each([
    [['card'], 'The source card is on the card itself.'],
    [['card/sub'], 'The source card/sub is on the card itself.'],
    [['.'], 'The source . holds the card.'],
    [['nowhere'], 'nowhere: no such file or folder'],
    [['pile', '--cluster', '1000'], '--cluster "1000" is not a cluster size'],
    [['pile', '--system', 'wrem'], 'No system "wrem" in the manifest.'],
    [
      ['pile', '--system', 'wren', '--loadout', 'other'],
      '--system and --loadout exclude each other',
    ],
    [['-'], 'place cannot read standard input'],
  ])('%j', async (args, message) => {
    const { place } = setting({ 'card/sub/x': 'x' });
    const { code, stdout, stderr } = await place(...args, '--apply', '--quiet');
    expect(code).toBe(2);
    expect(stdout).toBe('');
    expect(stderr).toContain(message);
    expect(stderr.trimEnd().split('\n').length).toBeLessThanOrEqual(2);
  });

  it('a card that is not there', async () => {
    const { root } = setting({});
    const result = await firmtally(['place', 'pile', '--onto', 'gone', '-m', 'wren.yaml'], {
      cwd: root,
    });
    expect(result.code).toBe(2);
    expect(result.stderr).toMatch(/gone: no such folder\n/);
  });
});
