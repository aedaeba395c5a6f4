/** What a caller's own parts do wrong is an error that names the path, never a verdict, and ends the task. */
import { createHash } from 'node:crypto';
import {
  audit,
  digest,
  draft,
  identify,
  planPlacement,
  verifySums,
  type ArchiveReader,
  type DigestEngine,
  type FolderSource,
  type Platform,
  type TaskOptions,
  type TaskProgress,
} from '@firmtally/core';
import { describe, expect, it } from 'vitest';
import { MemoryFolder, nodeHashes, PLATFORM } from '../support/memory-folder.js';
import { makeZip } from '../support/zip.js';

const MANIFEST = `firmtally: 1
folder: fw
firmware:
  osprey-boot:
    path: a.bin
    dumps: [{size: 3, md5: 900150983cd24fb0d6963f7d28e17f72}] # RFC 1321, A.5: "abc"
  kestrel-chips:
    path: k.zip
    members: [{path: k1, dumps: [{size: 3, md5: 900150983cd24fb0d6963f7d28e17f72}]}]
systems: {osprey: {requires: [osprey-boot, kestrel-chips]}}
`;

const FILES = {
  'fw/a.bin': 'abc',
  'fw/k.zip': makeZip([{ path: 'k1', bytes: Buffer.from('abc') }]),
  'pile/other.bin': 'xyz',
};

const manifests = [{ path: 'm.yaml', bytes: new TextEncoder().encode(MANIFEST) }];
const sound = new MemoryFolder(FILES);
/** The same, read through `open` only. */
const plain: FolderSource = {
  list: () => sound.list(),
  open: (...args) => sound.open(...args),
};

interface Parts extends TaskOptions {
  readonly folder?: FolderSource;
  readonly platform?: Platform;
}

const hash = (bytes: Uint8Array | string): string => createHash('md5').update(bytes).digest('hex');
const SUMS = `${hash('abc')}  fw/a.bin\n${hash(FILES['fw/k.zip'])} *./fw/k.zip\n`;

/** Each task over one folder, and what it counts of it. */
const TASKS: readonly (readonly [string, (parts?: Parts) => Promise<unknown>])[] = [
  [
    'audit',
    async ({ folder = sound, ...parts } = {}) =>
      (await audit(folder, { manifests, platform: PLATFORM, ...parts })).totals.firmware.match,
  ],
  [
    'identify',
    async ({ folder = sound, ...parts } = {}) => {
      const pile = { name: 'pile', kind: 'folder', folder } as const;
      const options = { manifests, platform: PLATFORM, ...parts };
      return (await identify([pile], options)).totals.recognised - 1; // the member of the ZIP
    },
  ],
  [
    'draft',
    async ({ folder = sound, ...parts } = {}) => {
      const pile = { name: 'pile', kind: 'folder', folder } as const;
      const { drafted } = await draft([pile], { platform: PLATFORM, ...parts });
      return drafted.firmware.length - 1;
    },
  ],
  [
    'planPlacement, the card',
    async ({ folder = sound, ...parts } = {}) => {
      const options = { manifests, platform: PLATFORM, ...parts };
      const { verdicts } = await planPlacement(folder, [], options);
      return verdicts.filter(({ verdict }) => verdict === 'match').length;
    },
  ],
  [
    'planPlacement, a source',
    async ({ folder = sound, ...parts } = {}) => {
      const pile = { name: 'pile', kind: 'folder', folder } as const;
      const options = { manifests, platform: PLATFORM, ...parts };
      return (await planPlacement(new MemoryFolder({}), [pile], options)).plan.steps.length;
    },
  ],
  [
    'digest',
    async ({ folder = sound, ...parts } = {}) => {
      const pile = { name: 'pile', kind: 'folder', folder } as const;
      return (await digest([pile], { platform: PLATFORM, ...parts })).files.length - 1;
    },
  ],
  [
    'verifySums',
    async ({ folder = sound, ...parts } = {}) => {
      const lists = [{ path: 'SUMS', bytes: new TextEncoder().encode(SUMS) }];
      return (await verifySums(folder, lists, { platform: PLATFORM, ...parts })).totals.match;
    },
  ],
];

/** Those that take a ZIP for the file it is. */
const ZIPS_STAY_CLOSED = ['digest', 'verifySums'];

describe.each(TASKS)("%s: a caller's own parts", (task, run) => {
  const opensZips = !ZIPS_STAY_CLOSED.includes(task);
  it('are fine as long as they keep to what is said of them', async () => {
    expect(await run()).toBe(2);
    expect(await run({ folder: plain })).toBe(2);
  });

  it.each([
    ['./fw/a.bin', { kind: 'file', size: 3 }],
    ['/fw/a.bin', { kind: 'file', size: 3 }],
    ['fw//a.bin', { kind: 'file', size: 3 }],
    ['../fw/a.bin', { kind: 'file', size: 3 }],
    ['fw/a.bin', { kind: 'file', size: 3 }],
    ['fw/b.bin', { kind: 'file', size: -1 }],
    ['fw/b.bin', { kind: 'file', size: Number.NaN }],
    ['fw/b.bin', { kind: 'link', size: 3 }],
  ] as const)('a source that lists %j besides, as %j', async (path, as) => {
    const odd: FolderSource = {
      ...plain,
      async *list() {
        yield* sound.list();
        yield { path, ...as };
      },
    };
    await expect(run({ folder: odd })).rejects.toMatchObject({
      code: 'source-invalid',
      message: expect.stringContaining(`"${path}"`) as string,
    });
  });

  it.each<[string, (md5: string) => string]>([
    ['in capitals', (md5) => md5.toUpperCase()],
    ['cut short', (md5) => md5.slice(1)],
  ])('digests %s, from a source or an engine', async (_, change) => {
    const named = {
      code: 'engine-invalid',
      message: expect.stringMatching(/^fw\/(a\.bin|k\.zip): the digest engine failed: /u) as string,
    };
    const folder: FolderSource = {
      ...plain,
      digestFile: async (...args) => {
        const { size, digests } = await sound.digestFile(...args);
        return { size, digests: { ...digests, md5: change(digests.md5 ?? '') } };
      },
    };
    await expect(run({ folder })).rejects.toMatchObject(named);
    const engine: DigestEngine = {
      name: 'odd',
      create: async (algorithms) => {
        const hasher = await nodeHashes.create(algorithms);
        const digest = (): object => {
          const digests = hasher.digest();
          return { ...digests, md5: change(digests.md5 ?? '') };
        };
        return { update: (chunk) => hasher.update(chunk), digest };
      },
    };
    await expect(run({ folder: plain, platform: { ...PLATFORM, engine } })).rejects.toMatchObject(
      named,
    );
    if (!opensZips) return;
    // A ZIP's members go to the engine, whatever the source digests.
    await expect(run({ platform: { ...PLATFORM, engine } })).rejects.toMatchObject({
      ...named,
      message: expect.stringMatching(/^fw\/k\.zip: /u) as string,
    });
  });

  it('that throw something of their own', async () => {
    const boom = new TypeError('x is undefined');
    const failing: FolderSource = {
      list: () => sound.list(),
      // eslint-disable-next-line @typescript-eslint/require-await -- a stream is async by its type
      async *open() {
        throw boom;
      },
    };
    await expect(run({ folder: failing })).rejects.toMatchObject({
      code: 'source-invalid',
      message: expect.stringMatching(
        /^(fw\/(a\.bin|k\.zip)|pile\/other\.bin): its source failed: x is undefined$/u,
      ) as string,
      cause: boom,
    });
    const digestFile = (): Promise<never> => Promise.reject(boom);
    await expect(run({ folder: { ...plain, digestFile } })).rejects.toMatchObject({
      message: expect.stringMatching(
        /^(fw\/(a\.bin|k\.zip)|pile\/other\.bin): the digest engine failed: x is undefined$/u,
      ) as string,
    });
    if (!opensZips) return;
    const archives: ArchiveReader = { open: () => Promise.reject(boom) };
    await expect(run({ platform: { ...PLATFORM, archives } })).rejects.toMatchObject({
      code: 'archives-invalid',
      message: 'fw/k.zip: the archive reader failed: x is undefined',
    });
  });

  it('a callback that throws', async () => {
    const boom = new Error('thrown by the callback');
    const onProgress = (): void => {
      throw boom;
    };
    await expect(run({ onProgress })).rejects.toBe(boom);
    let calls = 0;
    const later = (): void => {
      if (++calls === 4) throw boom;
    };
    await expect(run({ onProgress: later })).rejects.toBe(boom);
  });

  it('how far it is: every file that is listed, then every one that is read', async () => {
    const seen: TaskProgress[] = [];
    await run({ onProgress: (progress) => seen.push(progress) });
    expect(seen[0]).toMatchObject({ phase: 'list', files: 0, totalFiles: null });
    const listed = seen.filter(({ phase }) => phase === 'list').at(-1);
    expect(listed?.files).toBe(Object.keys(FILES).length);
    const read = seen.filter(({ phase }) => phase === 'read').at(-1);
    expect(read?.totalFiles).toBeGreaterThan(0);
    expect(read).toMatchObject({ files: read?.totalFiles, bytes: read?.totalBytes });
  });

  const never = <Result>(): Promise<Result> => new Promise(() => undefined);
  const silent = { [Symbol.asyncIterator]: () => ({ next: () => never<never>() }) };
  it.each<[string, Parts]>([
    ['a source that does not list', { folder: { ...plain, list: () => silent } }],
    ['a source that does not answer', { folder: { ...plain, open: () => silent } }],
    ['one that does not digest', { folder: { ...plain, digestFile: () => never() } }],
    [
      'an engine that does not answer',
      { folder: plain, platform: { ...PLATFORM, engine: { name: 'odd', create: () => never() } } },
    ],
    ...(opensZips
      ? ([
          [
            'an archive reader that does not',
            { platform: { ...PLATFORM, archives: { open: () => never() } } },
          ],
        ] satisfies [string, Parts][])
      : []),
  ])('%s ends with the signal', async (_, parts) => {
    const controller = new AbortController();
    const running = run({ ...parts, signal: controller.signal });
    const reason = new Error('enough');
    setTimeout(() => controller.abort(reason), 20);
    await expect(running).rejects.toBe(reason);
    // One that is aborted before does not even begin.
    await expect(run({ ...parts, signal: controller.signal })).rejects.toBe(reason);
  });
});
