// Writes the demo: two cards, a messy pile and a downloaded release, all INVENTED.
//
//   node examples/demo/generate.mjs [folder]     default: .demo in the workspace
//   node examples/demo/generate.mjs --digests    prints what the manifests must say
//
// Node >= 20.19, nothing to install. The same bytes on every machine and every run.
import { createHash } from 'node:crypto';
import { existsSync, mkdirSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import process, { argv, stdout } from 'node:process';
import { fileURLToPath } from 'node:url';
import { crc32 } from 'node:zlib';
import { zip } from './archives.mjs';
import { inventedBytes } from './bytes.mjs';
import { DUMPS } from './firmware.mjs';
import { CARD, DESK_CARD, PILE } from './folders.mjs';

/** @typedef {import('./folders.mjs').Files} Files */

/** Where the demo goes when no folder is named. */
export const DEMO_FOLDER = fileURLToPath(new URL('../../.demo', import.meta.url));

/**
 * Size and digests of some bytes, made by Node and not by Firmtally.
 * @param {Buffer} bytes
 */
export function describe(bytes) {
  /** @param {string} algorithm */
  const hash = (algorithm) => createHash(algorithm).update(bytes).digest('hex');
  return {
    size: bytes.length,
    crc32: crc32(bytes).toString(16).padStart(8, '0'),
    md5: hash('md5'),
    sha1: hash('sha1'),
    sha256: hash('sha256'),
  };
}

/** Marks a folder as the demo's own, so that nothing else is ever removed. */
const MARKER = 'INVENTED-DEMO.txt';

/**
 * Writes the whole demo below `folder`, in the place of an earlier demo.
 * @param {string} [folder]
 * @throws {Error} when the folder holds anything but a demo
 */
export function generate(folder = DEMO_FOLDER) {
  const inUse = existsSync(folder) && readdirSync(folder).length > 0;
  if (inUse && !existsSync(join(folder, MARKER))) {
    throw new Error(`${folder} holds other files; name a new or empty folder`);
  }
  mkdirSync(folder, { recursive: true });
  writeFileSync(
    join(folder, MARKER),
    'Made by examples/demo/generate.mjs; run it to start over.\n',
  );
  for (const [part, files] of Object.entries(parts())) {
    const target = join(folder, part);
    rmSync(target, { recursive: true, force: true });
    for (const [path, bytes] of Object.entries(files)) {
      const file = join(target, path);
      mkdirSync(path.endsWith('/') ? file : dirname(file), { recursive: true });
      if (!path.endsWith('/')) writeFileSync(file, bytes);
    }
  }
}

/** @returns {Readonly<Record<string, Files>>} */
function parts() {
  return { card: CARD, 'desk-card': DESK_CARD, pile: PILE, release: release() };
}

/**
 * An update for the handheld itself with the list of checksums that was published beside it.
 * @returns {Files}
 */
function release() {
  const update = zip([{ path: 'tern-update.img', bytes: inventedBytes('tern update', 30000) }]);
  const notes = Buffer.from('Tern update 1.4 (INVENTED). Charge the device fully first.\n');
  const lines = Object.entries({ 'notes.txt': notes, 'tern-update-1.4.zip': update }).map(
    ([name, bytes]) => `${describe(bytes).sha256}  ${name}\n`,
  );
  return {
    'tern-update-1.4.zip': update,
    'notes.txt': notes,
    SHA256SUMS: Buffer.from(lines.join('')),
  };
}

if (argv[1] !== undefined && resolve(argv[1]) === fileURLToPath(import.meta.url)) {
  if (argv[2] === '--digests') {
    for (const [id, dumps] of Object.entries(DUMPS)) {
      for (const [label, bytes] of Object.entries(dumps)) {
        stdout.write(`${id}, ${label}: ${JSON.stringify(describe(bytes), null, 2)}\n`);
      }
    }
  } else {
    try {
      generate(argv[2]);
    } catch (error) {
      process.stderr.write(`generate: ${error instanceof Error ? error.message : String(error)}\n`);
      process.exitCode = 2;
    }
  }
}
