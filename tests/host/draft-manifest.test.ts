/** The library's task around drafting: paths, signal, progress, what is refused. All data is invented. */
import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { FirmtallyError } from '@firmtally/core';
import { draftManifest } from '@firmtally/host';
import { noise } from '../core/diagnose/support.js';
import { tempFolder } from '../support/temp.js';

function folder(): string {
  const cwd = tempFolder();
  mkdirSync(join(cwd, 'good'));
  writeFileSync(join(cwd, 'good/boot.bin'), noise(3 << 20, 1));
  writeFileSync(join(cwd, 'posted.txt'), 'boot.bin 1c2d3e4f\nno more\n');
  writeFileSync(join(cwd, 'tern.yaml'), 'firmtally: 1\nfirmware: {}\n# end\n');
  return cwd;
}

describe('draftManifest', () => {
  it('reads lists by path or as bytes, and adds to a manifest by path', async () => {
    const cwd = folder();
    const bytes = new TextEncoder().encode('west.bin 2c2d3e4f\n');
    const { text, drafted } = await draftManifest(['posted.txt', { path: 'pasted', bytes }], {
      list: true,
      cwd,
      into: 'tern.yaml',
      system: 'tern',
    });
    expect(drafted.leftOut).toMatchObject([{ source: 'posted.txt', line: 2 }]);
    expect(text).toBe(
      "firmtally: 1\nfirmware:\n  boot:\n    path: boot.bin\n    dumps:\n      - crc32: '1c2d3e4f'\n" +
        "  west:\n    path: west.bin\n    dumps:\n      - crc32: '2c2d3e4f'\n" +
        '\nsystems:\n  tern:\n    name: tern\n    requires:\n      - boot\n      - west\n# end\n',
    );
  });

  it('gives no text when there is nothing to draft', async () => {
    const bytes = new TextEncoder().encode('no more\n');
    const { text, drafted } = await draftManifest([{ path: 'pasted', bytes }], { list: true });
    expect(text).toBeNull();
    expect(drafted.leftOut).toHaveLength(1);
  });

  it('tells how far it is, and ends with what a callback throws', async () => {
    const cwd = folder();
    const told: number[] = [];
    const { drafted } = await draftManifest(['good'], {
      cwd,
      onProgress: ({ phase, bytes }) => {
        if (phase === 'read') told.push(bytes);
      },
    });
    expect(drafted.firmware).toHaveLength(1);
    expect(told.at(-1)).toBe(3 << 20);
    expect(told.every((bytes, index) => index === 0 || bytes >= (told[index - 1] ?? 0))).toBe(true);
    const failing = draftManifest(['good'], {
      cwd,
      onProgress: () => {
        throw new Error('mine');
      },
    });
    await expect(failing).rejects.toThrow('mine');
  });

  it('ends with the reason of its signal', async () => {
    const cwd = folder();
    const reason = new Error('enough');
    await expect(draftManifest(['good'], { cwd, signal: AbortSignal.abort(reason) })).rejects.toBe(
      reason,
    );
    const controller = new AbortController();
    const running = draftManifest(['good'], {
      cwd,
      signal: controller.signal,
      onProgress: ({ bytes }) => {
        if (bytes > 0) controller.abort(reason);
      },
    });
    await expect(running).rejects.toBe(reason);
  });

  it.each([
    [['nowhere'], {}, /nowhere: no such file or folder/],
    [['nowhere.txt'], { list: true }, /nowhere\.txt/],
    [['good'], { list: true }, /good/],
    [['good'], { into: 'nowhere.yaml' }, /nowhere\.yaml/],
    [['good'], { into: 'posted.txt' }, /posted\.txt:1:1/],
    [['good'], { into: 'tern.yaml', format: 'yaml' }, /exclude each other/],
    [['good'], { folder: 'a//b' }, /manifest.s folder/],
    [['good'], { system: '-x' }, /id of a system/],
    [[{ path: 'x', bytes: new Uint8Array() }], {}, /lists only/],
  ] as const)('refuses %j %j', async (sources, options, message) => {
    const drafting = draftManifest([...sources], { cwd: folder(), ...options });
    await expect(drafting).rejects.toThrow(FirmtallyError);
    await expect(drafting).rejects.toThrow(message);
  });
});
