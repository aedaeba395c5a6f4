import { inventedBytes, inventedText } from './bytes.mjs';

/**
 * Every dump the demo's manifests know, by firmware id (`id/member` inside a ZIP) and label.
 * INVENTED, like the systems: Osprey 8, Kestrel and the others never existed.
 *
 * @type {Readonly<Record<string, Readonly<Record<string, Buffer>>>>}
 */
export const DUMPS = {
  'osprey-boot': {
    'revision A': inventedBytes('osprey boot A', 8192),
    'revision B': inventedBytes('osprey boot B', 16384),
  },
  'osprey-east': { east: inventedBytes('osprey east', 4096) },
  'osprey-west': { west: inventedBytes('osprey west', 4096) },
  'osprey-splash': { splash: inventedBytes('osprey splash', 3000) },
  'kestrel-chips/k1.rom': { k1: inventedBytes('kestrel k1', 8192) },
  'kestrel-chips/k2.rom': { k2: inventedBytes('kestrel k2', 8192) },
  'dunlin-boot': { only: inventedBytes('dunlin boot', 32768) },
  'dunlin-font': { only: inventedBytes('dunlin font', 6144) },
  'plover-boot': {
    first: inventedBytes('plover boot first', 2048),
    second: inventedBytes('plover boot second', 2048),
  },
  'siskin-boot': { only: inventedBytes('siskin boot', 65536) },
  'avocet-boot': { only: inventedBytes('avocet boot', 16384) },
  'avocet-sound': { only: inventedBytes('avocet sound', 12288) },
  'avocet-font': { only: inventedBytes('avocet font', 2048) },
  'whimbrel-bios': { only: inventedBytes('whimbrel bios', 131072) },
  'whimbrel-drive': { only: inventedBytes('whimbrel drive', 24576) },
  'godwit-core': { only: inventedBytes('godwit core', 49152) },
  'godwit-sound': { only: inventedBytes('godwit sound', 20480) },
  'redshank-monitor': { only: inventedBytes('redshank monitor', 8192) },
  'redshank-glyphs': { only: inventedBytes('redshank glyphs', 4096) },
  'redshank-keys': { only: inventedText('redshank keys', 96) },
  'nuthatch-boot': { only: inventedBytes('nuthatch boot', 16384) },
  'nuthatch-clock': { only: inventedBytes('nuthatch clock', 1024) },
  'nuthatch-link': { only: inventedBytes('nuthatch link', 2048) },
  'lapwing-main': { only: inventedBytes('lapwing main', 40960) },
  'lapwing-sound': { only: inventedBytes('lapwing sound', 8192) },
  'turnstone-boot': { only: inventedBytes('turnstone boot', 5120) },
};

/** A BIOS the manifest gives no digest for: present or not is all that can be said. */
export const PIPIT_BIOS = inventedBytes('pipit bios', 10240);

/**
 * One dump's bytes.
 * @param {string} id
 * @param {string} [label] the first dump when not given
 * @returns {Buffer}
 */
export function dump(id, label) {
  const dumps = DUMPS[id] ?? {};
  const bytes = label === undefined ? Object.values(dumps)[0] : dumps[label];
  if (bytes === undefined) throw new Error(`the demo has no dump ${id} ${label ?? ''}`);
  return bytes;
}
