/** What a caller's own parts do wrong is an error that names the path, never a verdict, and ends the task. */
import {
  audit,
  readManifests,
  selectSystems,
  type AuditInput,
  type FileDigester,
  type FolderSource,
  type Report,
} from '@firmtally/core';
import { zipReader } from '@firmtally/host';
import { describe, expect, it } from 'vitest';
import { MemoryFolder, nodeDigestStream } from '../support/memory-folder.js';
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

async function auditWith(change: Partial<AuditInput>): Promise<Report> {
  const { manifest } = await readManifests([
    { path: 'm.yaml', bytes: new TextEncoder().encode(MANIFEST) },
  ]);
  if (manifest === null) return expect.fail('the manifest is valid');
  const folder = new MemoryFolder(FILES);
  return audit({
    root: 'card',
    manifest,
    selection: selectSystems(manifest, {}),
    folder,
    digester: folder,
    archives: zipReader,
    digestStream: nodeDigestStream,
    ...change,
  });
}

const folder = new MemoryFolder(FILES);

describe("a caller's own parts", () => {
  it('are fine as long as they keep to what is said of them', async () => {
    expect((await auditWith({})).totals.firmware.match).toBe(2);
  });

  it.each(['./fw/a.bin', '/fw/a.bin', 'fw//a.bin', '../fw/a.bin', 'fw/a.bin'])(
    'a source that lists %j besides',
    async (path) => {
      const odd: FolderSource = {
        open: (...args) => folder.open(...args),
        async *list() {
          yield* folder.list();
          yield { path, kind: 'file', size: 3 };
        },
      };
      await expect(auditWith({ folder: odd })).rejects.toMatchObject({
        code: 'source-invalid',
        message: expect.stringContaining(`"${path}"`) as string,
      });
    },
  );

  it.each<[string, (md5: string) => string]>([
    ['in capitals', (md5) => md5.toUpperCase()],
    ['cut short', (md5) => md5.slice(1)],
  ])('a digester that gives digests %s', async (_, change) => {
    const odd: FileDigester = {
      digestFile: async (...args) => {
        const { size, digests } = await folder.digestFile(...args);
        return { size, digests: { ...digests, md5: change(digests.md5 ?? '') } };
      },
    };
    await expect(auditWith({ digester: odd })).rejects.toMatchObject({
      code: 'engine-invalid',
      message: expect.stringMatching(/^fw\/(a\.bin|k\.zip): /u) as string,
    });
    const stream: AuditInput['digestStream'] = async (...args) => {
      const { size, digests } = await nodeDigestStream(...args);
      return { size, digests: { md5: change(digests.md5 ?? '') } };
    };
    await expect(auditWith({ digestStream: stream })).rejects.toMatchObject({
      code: 'engine-invalid',
    });
  });

  it('a source and a digester that throw something of their own', async () => {
    const boom = new TypeError('x is undefined');
    const failing: FolderSource = {
      list: () => folder.list(),
      // eslint-disable-next-line @typescript-eslint/require-await -- a stream is async by its type
      async *open() {
        throw boom;
      },
    };
    await expect(auditWith({ folder: failing })).rejects.toMatchObject({
      code: 'source-invalid',
      message: 'fw/k.zip: its source failed: x is undefined',
      cause: boom,
    });
    await expect(
      auditWith({ digester: { digestFile: () => Promise.reject(boom) } }),
    ).rejects.toMatchObject({
      message: expect.stringMatching(
        /^fw\/(a\.bin|k\.zip): the digest engine failed: x is undefined$/u,
      ) as string,
    });
  });

  it('a callback that throws', async () => {
    const boom = new Error('thrown by the callback');
    const onProgress = (): void => {
      throw boom;
    };
    await expect(auditWith({ onProgress })).rejects.toBe(boom);
    let calls = 0;
    const later = (): void => {
      if (++calls === 4) throw boom;
    };
    await expect(auditWith({ onProgress: later })).rejects.toBe(boom);
  });

  it.each<[string, Partial<AuditInput>]>([
    [
      'a source that does not answer',
      {
        folder: {
          list: () => folder.list(),
          open: () => ({
            [Symbol.asyncIterator]: () => ({ next: () => new Promise(() => undefined) }),
          }),
        },
      },
    ],
    ['a digester that does not', { digester: { digestFile: () => new Promise(() => undefined) } }],
  ])('%s ends with the signal', async (_, change) => {
    const controller = new AbortController();
    const reason = new Error('enough');
    const auditing = auditWith({ ...change, signal: controller.signal });
    setTimeout(() => controller.abort(reason), 20);
    await expect(auditing).rejects.toBe(reason);
  });
});
