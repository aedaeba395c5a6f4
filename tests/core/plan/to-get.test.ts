import { audit, planPlacement } from '@firmtally/core';
import { describe, expect, it } from 'vitest';
import { dumpOf, firmware, manifest, system } from '../../support/entries.js';
import { MemoryFolder, PLATFORM } from '../../support/memory-folder.js';

describe('what has to be got', () => {
  it('is not what is there and could not be read, in a report as in a plan', async () => {
    const entry = (id: string): ReturnType<typeof firmware> =>
      firmware(id, { path: `${id}.bin`, dumps: [dumpOf(id)] });
    const ids = ['busy', 'folder', 'gone', 'torn'];
    const manifests = manifest(
      ids.map(entry),
      ids.map((id) => system(id, { requires: [{ firmware: id }] })),
    );
    const card = (): MemoryFolder =>
      new MemoryFolder({
        'busy.bin': { unreadable: 'permission-denied', size: 4 },
        'folder.bin': { kind: 'folder' },
        'torn.bin': { unreadable: 'io-error', size: 4 },
      });
    const options = { manifests, platform: PLATFORM };
    const report = await audit(card(), options);
    const pile = { name: 'pile', kind: 'folder', folder: new MemoryFolder({}) } as const;
    const { plan } = await planPlacement(card(), [pile], { ...options, clusterSize: 4096 });
    for (const { toGet } of [report, plan]) {
      expect(toGet.flatMap(({ anyOf }) => anyOf)).toEqual(['folder', 'gone']);
    }
    expect(report.totals.systems['not-ready']).toBe(4);
  });
});
