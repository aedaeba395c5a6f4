import {
  audit,
  type AuditOptions,
  type FolderSource,
  type Manifest,
  type Report,
} from '@firmtally/core';
import { dumpOf, firmware, manifest, system } from './entries.js';
import { makeZip } from './zip.js';
import { MemoryFolder, PLATFORM, type MemoryItem } from './memory-folder.js';

/** Bytes that look like nothing in particular, the same every time. */
function bytesOf(seed: number, length: number): Uint8Array {
  let state = seed + 1;
  return Uint8Array.from({ length }, () => {
    state = (Math.imul(state, 1_103_515_245) + 12_345) >>> 0;
    return state >>> 24;
  });
}

const boot = bytesOf(1, 300);
const sound = bytesOf(2, 200);
const video = bytesOf(3, 100);
const chip = bytesOf(4, 64);

/** Every verdict, every readiness, and names that try to be markup. */
const SAMPLE_MANIFEST: Manifest = manifest(
  [
    firmware('osprey-boot', {
      path: 'fw/osprey_boot.bin',
      dumps: [dumpOf(boot, { label: 'rev B' })],
    }),
    firmware('osprey-sound', { path: 'fw/osprey_sound.bin', dumps: [dumpOf(sound)] }),
    firmware('osprey-video', { path: 'fw/video.bin', dumps: [dumpOf(video)] }),
    firmware('kestrel-chips', {
      path: 'fw/kestrel.zip',
      members: [{ path: 'k1.rom', dumps: [dumpOf(chip)] }],
    }),
    firmware('kestrel-east', { path: 'fw/east.bin', dumps: [dumpOf('east', { label: '=1+1' })] }),
    firmware('kestrel-west', { path: 'fw/west|x.bin', dumps: [dumpOf('west')] }),
    firmware('tern-font', { path: 'fw/<img src=x onerror=alert(1)>.bin' }),
    firmware('gull-boot', { path: 'fw/gull.bin', dumps: [dumpOf('gull boot')] }),
  ],
  [
    system('gull', { name: 'Gull # "TODO" \\ `x` *y* _z_', requires: [{ firmware: 'gull-boot' }] }),
    system('kestrel', {
      name: 'Kestrel <b>Advance</b> & Co',
      requires: [{ firmware: 'kestrel-chips' }, { anyOf: ['kestrel-east', 'kestrel-west'] }],
      folders: [
        {
          path: 'games/kestrel',
          atLeast: 2,
          extensions: ['kst'],
          pictures: { folder: 'games/kestrel/art', extensions: ['png'] },
        },
      ],
    }),
    system('osprey', {
      name: '鶚 Osprey 8',
      requires: [{ firmware: 'osprey-boot' }],
      optional: ['osprey-sound', 'osprey-video'],
    }),
    system('plover', { name: '=cmd|calc', requires: [] }),
    system('tern', {
      name: 'Tern\n\u001b[31mred\u202e',
      requires: [{ firmware: 'tern-font' }, { firmware: 'osprey-boot' }],
    }),
  ],
);

export const SAMPLE_ITEMS: Readonly<Record<string, MemoryItem>> = {
  'fw/osprey_boot.bin': boot,
  'fw/osprey_sound.bin': sound.subarray(0, 150),
  'fw/VIDEO.bin': video,
  'fw/kestrel.zip': makeZip([
    { path: 'k1.rom', bytes: chip },
    { path: 'extra](http://x)|.txt', bytes: chip },
  ]),
  'old/east.bin': 'east',
  'fw/<img src=x onerror=alert(1)>.bin': 'font',
  'fw/gull.bin': { kind: 'folder' },
  'fw/notes\u0007\n"quoted", & more.txt': 'a stray',
  'games/kestrel/One.kst': '1',
  'games/kestrel/art/one.png': 'p',
};

const SAMPLE_FAULT = {
  path: 'private <dir>',
  code: 'permission-denied',
  message: 'no permission to list it',
} as const;

/** An audit of it. */
export function sampleReport({
  items = SAMPLE_ITEMS,
  folder = new MemoryFolder(items, { listFaults: [SAMPLE_FAULT] }),
  ...options
}: Partial<AuditOptions> & {
  readonly items?: Readonly<Record<string, MemoryItem>>;
  readonly folder?: FolderSource;
} = {}): Promise<Report> {
  return audit(folder, {
    root: 'card',
    manifests: SAMPLE_MANIFEST,
    platform: PLATFORM,
    strays: true,
    tool: { name: 'firmtally', version: '0.0.0-test' },
    ...options,
  });
}
