// What lies where before anything is put right. Paths use '/' on every platform.
import { gzip, zip } from './archives.mjs';
import { damage, inventedBytes, WEB_PAGE } from './bytes.mjs';
import { dump, PIPIT_BIOS } from './firmware.mjs';

/** @typedef {Readonly<Record<string, Buffer>>} Files path -> bytes; a path ending in '/' is an empty folder */

const KESTREL_ZIP = zip([
  // Out of order and with an extra member: a members entry is judged by what is inside.
  { path: 'k2.rom', bytes: dump('kestrel-chips/k2.rom'), compress: true },
  { path: 'k1.rom', bytes: dump('kestrel-chips/k1.rom') },
  { path: 'about.txt', bytes: Buffer.from('Chips of an invented Kestrel.\n'), compress: true },
]);

/** The travel card of the Tern handheld: every verdict, every readiness, every diagnosis.
 *  @type {Files} */
export const CARD = {
  'system/firmware/osprey_boot.bin': dump('osprey-boot', 'revision B'),
  'system/firmware/osprey_west.bin': dump('osprey-west'),
  'system/firmware/kestrel.zip': KESTREL_ZIP,
  'system/firmware/dunlin_boot.bin': damage.cut(dump('dunlin-boot')),
  'system/firmware/dunlin_font.bin': damage.pad(dump('dunlin-font'), 16384),
  'downloads/plover_boot.bin': dump('plover-boot', 'second'),
  'system/firmware/SISKIN.BIN': dump('siskin-boot'),
  'system/firmware/avocet_sound.bin': damage.flipBit(dump('avocet-sound'), 7000),
  'system/firmware/avocet_font.bin': dump('avocet-font'),
  'system/firmware/pipit_bios.bin': PIPIT_BIOS,
  // An unpacker made a folder of the file's own name: nothing can read that as firmware.
  'system/firmware/whimbrel_bios.bin/': Buffer.alloc(0),
  'system/firmware/whimbrel_drive.bin': damage.addHeader(dump('whimbrel-drive'), 512),
  'system/firmware/godwit_core.bin': damage.swap(dump('godwit-core'), 2),
  'system/firmware/godwit_sound.bin': damage.swap(dump('godwit-sound'), 4),
  'system/firmware/redshank_monitor.bin': damage.double(dump('redshank-monitor')),
  'system/firmware/redshank_glyphs.bin': damage.interleave(dump('redshank-glyphs')),
  'system/firmware/redshank_keys.txt': damage.mangleText(dump('redshank-keys')),
  'system/firmware/nuthatch_boot.bin': WEB_PAGE,
  'system/firmware/nuthatch_clock.bin': Buffer.alloc(1024, 0xff),
  'system/firmware/nuthatch_link.bin': Buffer.alloc(0),
  'system/firmware/lapwing_main.bin': gzip(dump('lapwing-main')),
  'system/firmware/lapwing_sound.bin': dump('redshank-monitor'),
  'system/extra/TurnStone.ROM': dump('turnstone-boot'),
  'system/firmware/old copy of something.bin': inventedBytes('stray', 700),
  'games/osprey/Marsh Patrol.osp': inventedBytes('game one', 5000),
  'games/osprey/Reed Runner.osp': inventedBytes('game two', 6000),
  'games/osprey/art/Marsh Patrol.png': inventedBytes('picture one', 900),
  'games/bittern/Low Tide.bit': inventedBytes('game three', 4000),
  'notes/card bought in May.txt': Buffer.from('Copied off the card that came in the box.\n'),
};

/** The card of the Curlew desk console, which keeps its firmware in `bios`.
 *  @type {Files} */
export const DESK_CARD = {
  'bios/osprey_boot.bin': dump('osprey-boot', 'revision A'),
  'bios/osprey_east.bin': dump('osprey-east'),
  'bios/osprey_splash.bin': dump('osprey-splash'),
  'bios/kestrel.zip': KESTREL_ZIP,
  'bios/redshank_monitor.bin': dump('redshank-monitor'),
  'bios/redshank_glyphs.bin': dump('redshank-glyphs'),
  'bios/redshank_keys.txt': dump('redshank-keys'),
  'bios/lapwing_main.bin': dump('lapwing-main'),
  'bios/lapwing_sound.bin': dump('lapwing-sound'),
  'games/osprey/Reed Runner.osp': inventedBytes('game two', 6000),
  'games/lapwing/': Buffer.alloc(0),
};

/** A download folder: what the card lacks, under any name, between junk and damaged copies.
 *  @type {Files} */
export const PILE = {
  'dunlin boot (1).bin': dump('dunlin-boot'),
  'from the old laptop/a0017.bin': dump('avocet-boot'),
  'from the old laptop/a0018.bin': dump('avocet-sound'),
  'from the old laptop/a0019.bin': dump('osprey-splash'),
  'from the old laptop/a0020.bin': inventedBytes('junk', 16384),
  'whimbrel, complete.zip': zip([
    { path: 'whimbrel/bios.bin', bytes: dump('whimbrel-bios') },
    { path: 'whimbrel/read me.txt', bytes: Buffer.from('Invented.\n'.repeat(60)), compress: true },
  ]),
  'nuthatch.bin': dump('nuthatch-boot'),
  'nuthatch_clock.rom': damage.addHeader(dump('nuthatch-clock'), 16),
  'nuthatch link.bin': dump('nuthatch-link'),
  'lapwing_snd.bin': damage.double(dump('lapwing-sound')),
  'avocet_boot.bin': WEB_PAGE,
  'plover_boot.bin': damage.cut(dump('plover-boot', 'first')),
  'holiday.jpg': Buffer.concat([Buffer.from('ffd8ffe0', 'hex'), inventedBytes('picture', 3000)]),
  'shopping list.txt': Buffer.from('bread\ncard reader\n'),
};
