/** Digests and checksum lists over a source that is no file system. Expected digests: node:crypto. */
import { createHash } from 'node:crypto';
import { digest, verifySums, type Entry, type FolderSource } from '@firmtally/core';
import { expect, it } from 'vitest';
import { MemoryFolder, PLATFORM } from '../../support/memory-folder.js';

const md5 = (text: string): string => createHash('md5').update(text).digest('hex');
const lists = (text: string): { path: string; bytes: Uint8Array }[] => [
  { path: 'SUMS', bytes: new TextEncoder().encode(text) },
];

/** A folder in which there are these things too. */
function withOthers(folder: MemoryFolder, ...others: Entry[]): FolderSource {
  return {
    async *list() {
      yield* folder.list();
      yield* others;
    },
    open: (path, range) => folder.open(path, range),
  };
}

it('digests each file of its sources once, in order of path, and tells each row in turn', async () => {
  const folder = withOthers(
    new MemoryFolder({ 'b/two.bin': 'two', 'a.bin': 'one' }),
    { path: 'pipe', kind: 'fifo', size: 0 },
    { path: 'l', kind: 'link', size: 3, link: { resolvesTo: 'a.bin', fault: null } },
  );
  const single = new MemoryFolder({ 'two.bin': 'two' });
  const told: string[] = [];
  const document = await digest(
    [
      { name: 'pile', kind: 'folder', folder },
      { name: 'pile/b/two.bin', kind: 'file', folder: single },
    ],
    { platform: PLATFORM, algorithms: ['md5'], onFile: ({ path }) => void told.push(path) },
  );
  expect(document.files).toEqual([
    { path: 'pile/a.bin', size: 3, md5: md5('one') },
    { path: 'pile/b/two.bin', size: 3, md5: md5('two') },
  ]);
  expect(document.faults).toEqual([
    { path: 'pile/pipe', code: 'not-a-file', message: 'it is a named pipe, not a file' },
  ]);
  expect(told).toEqual(['pile/pipe', 'pile/a.bin', 'pile/b/two.bin']);
});

it('says of every line of a list how its file fares, and opens only what the folder lists', async () => {
  const opened: string[] = [];
  const folder = withOthers(
    new MemoryFolder({ 'a.bin': 'one', 'b/two.bin': 'two' }),
    { path: 'pipe', kind: 'fifo', size: 0 },
    { path: 'l', kind: 'link', size: 3, link: { resolvesTo: 'a.bin', fault: null } },
    { path: 'out', kind: 'link', size: 0, link: { resolvesTo: null, fault: 'outside-root' } },
  );
  const watched: FolderSource = {
    ...folder,
    open: (path, range) => {
      opened.push(path);
      return folder.open(path, range);
    },
  };
  const names = [
    'a.bin',
    './b//two.bin',
    'l',
    'b/one.bin',
    'gone',
    'pipe',
    'out',
    '../a.bin',
    '/a',
  ];
  const expected = ['one', 'two', 'one', 'x', 'x', 'x', 'x', 'x', 'x'];
  const text = names.map((name, at) => `${md5(expected[at] ?? '')}  ${name}\n`).join('');
  const {
    lists: checked,
    totals,
    faults,
  } = await verifySums(watched, lists(`${text}${md5('other')}  a.bin\nno checksum line\n`), {
    platform: PLATFORM,
  });
  expect(checked[0]?.lines.map(({ path, status }) => [path, status])).toEqual([
    ['a.bin', 'match'],
    ['./b//two.bin', 'match'],
    ['l', 'match'],
    ['b/one.bin', 'missing'],
    ['gone', 'missing'],
    ['pipe', 'unreadable'],
    ['out', 'unreadable'],
    ['../a.bin', 'unreadable'],
    ['/a', 'unreadable'],
    ['a.bin', 'mismatch'],
  ]);
  expect(totals).toEqual({ match: 3, mismatch: 1, missing: 2, unreadable: 4, malformed: 1 });
  expect(faults.map(({ path, message }) => [path, message])).toEqual([
    ['b/one.bin', 'no such file'],
    ['gone', 'no such file'],
    ['pipe', 'it is a named pipe, not a file'],
    ['out', 'this link leads out of the root'],
    ['../a.bin', 'its path is not one below the root'],
    ['/a', 'its path is not one below the root'],
  ]);
  expect([...opened].sort()).toEqual(['a.bin', 'a.bin', 'b/two.bin']);
});
