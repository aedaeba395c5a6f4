import { mkdirSync, readFileSync, utimesSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { FirmtallyError, renderReport, type TaskProgress } from '@firmtally/core';
import { auditFolder, type AuditFolderOptions } from '@firmtally/host';
import { describe, expect, it } from 'vitest';
import { digestsOf } from '../../support/memory-folder.js';
import { tempFolder } from '../../support/temp.js';

const BOOT = Buffer.from('invented boot code');

/** A manifest, and a card below it on which nothing is wrong. */
function scene(): string {
  const cwd = tempFolder();
  mkdirSync(join(cwd, 'card/fw'), { recursive: true });
  writeFileSync(join(cwd, 'card/fw/boot.bin'), BOOT);
  const { sha1 } = digestsOf(BOOT, ['sha1']);
  const manifest = {
    firmtally: 1,
    folder: 'fw',
    firmware: {
      boot: { path: 'boot.bin', note: 'Runs first.', dumps: [{ size: BOOT.length, sha1 }] },
    },
    systems: { osprey: { name: 'Osprey', requires: ['boot'] } },
    loadouts: { desk: { name: 'Curlew desk', systems: ['osprey'], folder: 'bios' }, none: [] },
  };
  writeFileSync(join(cwd, 'tern.json'), JSON.stringify(manifest));
  return cwd;
}

async function refusal(root: string, options: AuditFolderOptions): Promise<FirmtallyError> {
  const error: unknown = await auditFolder(root, options).catch((thrown: unknown) => thrown);
  if (error instanceof FirmtallyError) return error;
  throw new Error(`no refusal: ${String(error)}`);
}

describe('auditFolder', () => {
  it('does the whole task by paths', async () => {
    const cwd = scene();
    const report = await auditFolder('card', { manifests: ['tern.json'], cwd });
    expect(report).toMatchObject({
      root: 'card',
      manifests: [{ path: 'tern.json' }],
      selection: { systems: ['osprey'], loadout: null, loadoutName: null },
      firmware: [{ id: 'boot', verdict: 'match', note: 'Runs first.' }],
      totals: { systems: { ready: 1 } },
    });
    const desk = await auditFolder('card', { manifests: ['tern.json'], cwd, loadout: 'desk' });
    expect(desk.selection).toMatchObject({ loadout: 'desk', loadoutName: 'Curlew desk' });
    expect(desk.firmware[0]).toMatchObject({ verdict: 'misplaced', foundAt: 'fw/boot.bin' });
  });

  it('compares with an earlier report by its path, and knows bytes that changed silently', async () => {
    const cwd = scene();
    const options = { manifests: ['tern.json'], cwd };
    const file = join(cwd, 'card/fw/boot.bin');
    const past = new Date(Date.now() - 3_600_000);
    const earlier = join(cwd, 'before.json');
    writeFileSync(earlier, renderReport(await auditFolder('card', options), 'json'));
    writeFileSync(file, Buffer.from('invented b\u006fot c0de'));
    utimesSync(file, past, past);
    const { since } = await auditFolder('card', { ...options, since: 'before.json' });
    expect(since?.changedBytes).toMatchObject([{ path: 'fw/boot.bin', silently: true }]);
    expect(since?.advice?.code).toBe('save-card');
    const report = JSON.parse(readFileSync(earlier, 'utf8')) as never;
    // As PowerShell's `>` saves it: UTF-16 with a byte-order mark.
    const text = readFileSync(join(cwd, 'before.json'), 'utf8');
    writeFileSync(join(cwd, 'wide.json'), `\ufeff${text}`, 'utf16le');
    const wide = await auditFolder('card', { ...options, since: 'wide.json' });
    expect(wide.since?.unchanged).toBe(since?.unchanged);

    const unknown = { ...options, since: { report, written: null } };
    expect((await auditFolder('card', unknown)).since?.changedBytes[0]?.silently).toBe(false);
  });

  it.each<[string, string, Partial<AuditFolderOptions>, string, RegExp]>([
    ['no such root', 'nowhere', {}, 'root-unreadable', /no such folder/],
    [
      'no such manifest',
      'card',
      { manifests: ['x.yaml'] },
      'manifest-unreadable',
      /^x\.yaml: there/,
    ],
    [
      'a folder for a manifest',
      'card',
      { manifests: ['card'] },
      'manifest-unreadable',
      /not a file/,
    ],
    ['no such system', 'card', { systems: ['osprye'] }, 'unknown-system', /osprye/],
    ['no such loadout', 'card', { loadout: 'dask' }, 'unknown-loadout', /dask/],
    ['an empty loadout', 'card', { loadout: 'none' }, 'manifest-invalid', /nothing to check/],
    [
      'no such report',
      'card',
      { since: 'y.json' },
      'report-invalid',
      /^y\.json: there is no such file/,
    ],
    [
      'a manifest for a report',
      'card',
      { since: 'tern.json' },
      'report-invalid',
      /this is a manifest/,
    ],
  ])('refuses %s', async (_, root, more, code, message) => {
    const error = await refusal(root, { manifests: ['tern.json'], cwd: scene(), ...more });
    expect(error.code).toBe(code);
    expect(error.message).toMatch(message);
    expect(error.remedy).not.toBeNull();
  });

  it('names the place of a manifest error', async () => {
    const cwd = scene();
    writeFileSync(join(cwd, 'bad.yaml'), 'firmtally: 1\nfirmware: {a: {pth: x}}\n');
    const error = await refusal('card', { manifests: ['bad.yaml'], cwd });
    expect(error.message).toMatch(/^bad\.yaml:2:\d+: .*\[[a-z-]+\]/);
  });

  it('rejects with the reason of its signal, before and while it reads', async () => {
    const options = { manifests: ['tern.json'], cwd: scene() };
    const reason = new Error('enough');
    const before = auditFolder('card', { ...options, signal: AbortSignal.abort(reason) });
    await expect(before).rejects.toBe(reason);
    for (const phase of ['list', 'read'] as const) {
      const controller = new AbortController();
      const onProgress = (progress: TaskProgress): void => {
        if (progress.phase === phase) controller.abort(reason);
      };
      const audit = auditFolder('card', { ...options, signal: controller.signal, onProgress });
      await expect(audit).rejects.toBe(reason);
    }
  });

  it('rejects with what a callback throws', async () => {
    const reason = new Error('the page is gone');
    const audit = auditFolder('card', {
      manifests: ['tern.json'],
      cwd: scene(),
      onProgress: (progress) => {
        if (progress.phase === 'read' && progress.bytes > 0) throw reason;
      },
    });
    await expect(audit).rejects.toBe(reason);
  });
});
