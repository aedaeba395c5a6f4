import { viewOf, type Fault, type FolderCheck, type Report } from '@firmtally/core';
import { describe, expect, it } from 'vitest';
import { dumpOf, firmware, manifest, system } from '../../support/entries.js';
import { MemoryFolder, type MemoryItem } from '../../support/memory-folder.js';
import { sampleReport } from '../../support/sample-report.js';

const GOOD = 'good bytes';
const DENIED = { code: 'permission-denied', message: 'no permission to read it' } as const;

/** A card with one firmware, expected at d/e/a.bin, and folder checks. */
async function auditOf(
  items: Readonly<Record<string, MemoryItem>>,
  options: { faults?: readonly Fault[]; case?: 'ignore'; folders?: readonly FolderCheck[] } = {},
): Promise<Report> {
  const folder = new MemoryFolder(items, { listFaults: options.faults ?? [] });
  const boot = firmware('boot', {
    path: 'd/e/a.bin',
    dumps: [dumpOf(GOOD)],
    case: options.case ?? 'exact',
  });
  const gull = system('gull', {
    requires: [{ firmware: 'boot' }],
    folders: options.folders ?? [],
  });
  const all = manifest([boot], [gull]);
  return sampleReport({ manifests: all, folder });
}

describe('an expected path that cannot be looked at', () => {
  it.each([
    ['its folder', 'd/e'],
    ['a folder above', 'd'],
    ['the root', '.'],
    ['the path itself', 'd/e/a.bin'],
  ])('is unreadable, not missing: %s could not be listed', async (_, path) => {
    // What lies elsewhere says nothing of what is there.
    const report = await auditOf({ 'old/a.bin': GOOD }, { faults: [{ path, ...DENIED }] });
    expect(report.firmware[0]).toMatchObject({
      verdict: 'unreadable',
      foundAt: 'd/e/a.bin',
      size: null,
      facts: [{ text: `${path} could not be listed: no permission to read it.` }],
      advice: { text: `Allow this user to read ${path}, and audit again.` },
    });
    expect(report.systems[0]?.readiness).toBe('not-ready');
  });

  it('counts letter case as the entry does', async () => {
    const faults = [{ path: 'D', ...DENIED }];
    expect((await auditOf({}, { faults })).firmware[0]?.verdict).toBe('missing');
    expect((await auditOf({}, { faults, case: 'ignore' })).firmware[0]?.verdict).toBe('unreadable');
  });

  it('does not count a folder beside it', async () => {
    const faults = [{ path: 'd/ee', ...DENIED }];
    expect((await auditOf({}, { faults })).firmware[0]).toMatchObject({
      verdict: 'missing',
      facts: [],
    });
  });
});

describe('something in the place of a folder above an expected path', () => {
  it.each<[string, Record<string, MemoryItem>, string]>([
    [
      'a link to a folder',
      { d: { link: 'real' }, real: { kind: 'folder' } },
      'd is a link to a folder; links to folders are not followed.',
    ],
    [
      'a link to a file',
      { d: { link: 'f' }, f: 'x' },
      'd is a link to a file where a folder belongs.',
    ],
    [
      'a link out of the root',
      { d: { outside: true } },
      'd is a link out of the audited folder; such links are not followed.',
    ],
    ['a link to nothing', { d: { link: 'nothing' } }, 'd is a link that leads nowhere.'],
    ['a file', { d: { kind: 'folder' }, 'd/e': 'x' }, 'd/e is a file where a folder belongs.'],
    ['a pipe', { d: { kind: 'fifo' } }, 'd is not a folder, as it should be.'],
  ])('is said: %s', async (_, items, detail) => {
    const path = detail.split(' ')[0] ?? '';
    expect((await auditOf(items)).firmware[0]).toMatchObject({
      verdict: 'missing',
      facts: [{ text: detail }],
      advice: { code: 'put-dump', blockedBy: path, path: 'd/e/a.bin' },
    });
    expect((await auditOf({ ...items, 'real/e/a.bin': GOOD })).firmware[0]).toMatchObject({
      verdict: 'misplaced',
      foundAt: 'real/e/a.bin',
      facts: [{ text: detail }],
      advice: {
        text: `Put a folder in the place of ${path}, and copy real/e/a.bin to d/e/a.bin.`,
      },
    });
  });

  it('is not said of a folder, nor where another letter case of the name is one', async () => {
    const both = { D: 'x', d: { kind: 'folder' } } as const;
    const [exact] = (await auditOf({ D: 'x' })).firmware;
    const [ignoring] = (await auditOf({ D: 'x' }, { case: 'ignore' })).firmware;
    const [there] = (await auditOf(both, { case: 'ignore' })).firmware;
    expect(exact?.facts).toEqual([]);
    expect(ignoring?.facts.map(({ text }) => text)).toEqual([
      'D is a file where a folder belongs.',
    ]);
    expect(there?.facts).toEqual([]);
  });
});

describe('a folder check', () => {
  const check = (path: string): FolderCheck => ({
    path,
    atLeast: 1,
    extensions: [],
    pictures: { folder: `${path === '' ? '' : `${path}/`}art`, extensions: [] },
  });

  it('says what could not be counted', async () => {
    const faults = ['g', 'h/x', 'h2'].map((path) => ({ path, ...DENIED }));
    const folders = [check('g'), check('h'), check('i'), check('j')];
    const report = await auditOf({ i: { link: 'nothing' }, 'h/1': '1' }, { faults, folders });
    expect(
      report.systems[0]?.folders.map(({ path, found, facts }) => [
        path,
        found,
        facts?.map(({ text }) => text),
      ]),
    ).toEqual([
      ['g', 0, ['g could not be listed: no permission to read it.']],
      ['h', 1, ['h/x could not be listed: no permission to read it.']],
      ['i', 0, ['i is a link that leads nowhere.']],
      ['j', 0, undefined],
    ]);
    expect(viewOf(report).content[0]?.facts).toEqual([
      'g could not be listed: no permission to read it.',
    ]);
  });

  it('names the root', async () => {
    const report = await auditOf({ a: '1' }, { folders: [check('')] });
    expect(report.systems[0]?.folders[0]).toMatchObject({ path: '.', found: 1 });
    expect(viewOf(report).content).toMatchObject([{ text: '.: 1 file, 0 with a picture in art' }]);
  });
});
