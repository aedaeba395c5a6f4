/**
 * How much a task still does once its signal is aborted, counted in what it
 * reads. That it ends at all with a source or engine that never answers:
 * boundary.test.ts.
 */
import {
  audit,
  digestStream,
  draft,
  identify,
  planPlacement,
  type ByteStream,
  type FolderSource,
  type ManifestFile,
  type PileSource,
  type Platform,
  type TaskOptions,
} from '@firmtally/core';
import { setImmediate as turn } from 'node:timers/promises';
import { afterEach, describe, expect, it, vi } from 'vitest';
import { MemoryFolder, nodeHashes, PLATFORM } from '../support/memory-folder.js';
import { makeZip } from '../support/zip.js';

const FILES = 300;
const bytesOf = (index: number): Buffer => Buffer.alloc(2000, `file ${index} `);
const ids = Array.from({ length: FILES }, (_, index) => `a${index}`);

/** All files and members have the size that is looked for, and none is right. */
const wrong = (number: number): string =>
  `dumps: [{size: 2000, md5: ${number.toString(16).padStart(32, '0')}}]`;
const manifest = Buffer.from(
  `firmtally: 1
firmware:
${ids.map((id, index) => `  ${id}: {path: fw/${id}.bin, ${wrong(index + 1)}}\n`).join('')}
  all:
    path: all.zip
    members: [${ids.map((id, index) => `{path: ${id}, ${wrong(index + 1001)}}`).join()}]
systems: {s: {requires: [all, ${ids.join()}]}}
`,
);

const LOOSE = Object.fromEntries(ids.map((id, index) => [`fw/${id}.bin`, bytesOf(index)]));
const ZIPPED = {
  'all.zip': makeZip(ids.map((path, index) => ({ path, bytes: bytesOf(index) }))),
};

type Task = (folder: FolderSource, signal: AbortSignal) => Promise<unknown>;
interface Options extends TaskOptions {
  readonly manifests: readonly ManifestFile[];
  readonly platform: Platform;
}
const options = (signal: AbortSignal): Options => ({
  manifests: [{ path: 'm.yaml', bytes: manifest }],
  platform: PLATFORM,
  signal,
});
const pile = (folder: FolderSource): PileSource => ({ name: 'pile', kind: 'folder', folder });

const TASKS: readonly (readonly [string, Task])[] = [
  ['audit', (folder, signal) => audit(folder, options(signal))],
  ['identify', (folder, signal) => identify([pile(folder)], options(signal))],
  ['draft', (folder, signal) => draft([pile(folder)], { platform: PLATFORM, signal })],
  ['planPlacement, the card', (folder, signal) => planPlacement(folder, [], options(signal))],
  [
    'planPlacement, a source',
    (folder, signal) => planPlacement(new MemoryFolder({}), [pile(folder)], options(signal)),
  ],
];

/** The folder without `digestFile`; `each` is called before every entry listed and every chunk read. */
function watched(
  files: Readonly<Record<string, Buffer>>,
  each: (what: 'entry' | 'chunk') => void,
): FolderSource {
  const folder = new MemoryFolder(files);
  return {
    async *list() {
      for await (const entry of folder.list()) {
        each('entry');
        yield entry;
      }
    },
    async *open(...args) {
      for await (const chunk of folder.open(...args)) {
        each('chunk');
        yield chunk;
      }
    },
  };
}

afterEach(() => {
  vi.restoreAllMocks();
});

const KINDS = [
  ['listing files', LOOSE, 'entry'],
  ['reading files', LOOSE, 'chunk'],
  ['reading a ZIP', ZIPPED, 'chunk'],
] as const;

/** The entry or chunk at which a task is aborted. */
const AT = 40;

/** Ms by the clock of the test. */
const CHUNK = 1;

/** What that clock shows: far from the other tests' times, whatever is kept of those. */
let now = 0;

describe.each(TASKS)('%s', (_, run) => {
  it.each(KINDS)('reads nothing more once it is aborted while %s', async (_name, files, what) => {
    const controller = new AbortController();
    const reason = new Error('enough');
    let [seen, after] = [0, 0];
    const folder = watched(files, (each) => {
      if (controller.signal.aborted) after++;
      else if (each === what && ++seen === AT) controller.abort(reason);
    });
    await expect(run(folder, controller.signal)).rejects.toBe(reason);
    await turn();
    expect({ seen, after }).toEqual({ seen: AT, after: 0 });
  });

  it.each(KINDS.slice(1))(
    'takes turns while %s by a source that never waits, so that an abort comes through',
    async (_name, files) => {
      const controller = new AbortController();
      const reason = new Error('enough');
      now += 1_000_000;
      vi.spyOn(Date, 'now').mockImplementation(() => now);
      let chunks = 0;
      const folder = watched(files, (what) => {
        if (what === 'entry') return;
        now += CHUNK;
        if (chunks++ === 0) setImmediate(() => controller.abort(reason));
      });
      await expect(run(folder, controller.signal)).rejects.toBe(reason);
      // No measure of how fast it is: a quarter of a second is what an abort may take.
      expect(chunks * CHUNK).toBeLessThanOrEqual(250);
    },
  );
});

it('digestStream reads nothing more once it is aborted', async () => {
  const controller = new AbortController();
  const reason = new Error('enough');
  let chunks = 0;
  // eslint-disable-next-line @typescript-eslint/require-await -- a stream is async by its type
  async function* endless(): ByteStream {
    for (;;) {
      if (++chunks === 40) controller.abort(reason);
      yield new Uint8Array(1000);
    }
  }
  const { signal } = controller;
  await expect(digestStream(endless(), ['md5'], nodeHashes, { signal })).rejects.toBe(reason);
  expect(chunks).toBe(40);
});
