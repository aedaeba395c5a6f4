import { identify, type Archive, type Platform } from '@firmtally/core';
import { RECOGNISE_LIMITS } from '@firmtally/core/internal';
import { nodePlatform } from '@firmtally/host';
import { MemoryFolder } from '../support/memory-folder.js';
import { check } from './check.js';
import { digestsOf } from './contents.js';
import { makeBomb, makeNest, type Nest } from './nested-archive.js';
import { Random } from './random.js';
import { readFaultless } from './subject.js';

/** Bytes of the zeros in a bomb, and how many of them: more than may be inflated for one file. */
const BOMB = { zeros: 16 << 20, members: 66 };

/** One case in so many is a bomb: each takes seconds. */
const BOMBS = 1000;

/**
 * A pile of archives in archives. What is said of a place is true of the bytes
 * that were put there; what lies two levels deep in sound archives is found, or
 * a fault says that the file was not read to its end; nothing deeper is opened;
 * and no more comes out of archives than the limits allow.
 */
export async function nestedArchiveCase(seed: number): Promise<void> {
  const random = new Random(seed);
  const leaves = Array.from({ length: random.between(1, 6) }, (_, index) =>
    Buffer.concat([Buffer.from(`leaf ${String(index)} `), random.bytes(random.between(10, 300))]),
  );
  const bomb = seed % BOMBS === BOMBS / 2 ? Buffer.alloc(BOMB.zeros) : null;
  const wanted = [...leaves, ...(bomb === null ? [] : [bomb])];
  const nests = new Map<string, Nest>();
  for (let index = 0; index < random.between(1, 3); index++) {
    const nest = makeNest(random, leaves);
    nests.set(`${String(index)} ${nest.name}`, nest);
  }
  if (bomb !== null) {
    nests.set('bomb.zip', {
      name: 'bomb.zip',
      bytes: makeBomb(BOMB.zeros, BOMB.members),
      placed: [],
    });
  }
  const inflated = { bytes: 0 };
  const document = await identify(
    [
      {
        name: 'pile',
        kind: 'folder',
        folder: new MemoryFolder(
          Object.fromEntries([...nests].map(([path, { bytes }]) => [path, bytes])),
        ),
      },
    ],
    { manifests: await readFaultless(manifestOf(wanted)), platform: counting(inflated) },
  );
  const given = [...nests.values()].reduce((sum, { bytes }) => sum + bytes.length, 0);
  const most =
    nests.size * (RECOGNISE_LIMITS.inflatedBytes + (1 << 20)) +
    given * RECOGNISE_LIMITS.inflatedPerByte;
  check(inflated.bytes <= most, 'more is inflated than allowed', { inflated, most });
  const said = [
    ...document.faults.map(({ path }) => path),
    ...document.files
      .filter(({ facts }) => facts.some(({ code }) => code === 'not-looked-at'))
      .map(({ path }) => path),
  ];
  const faulty = new Set(said.map((path) => path.slice('pile/'.length)));
  for (const row of document.files) {
    check(row.inside.length <= RECOGNISE_LIMITS.depth, 'opened deeper than said', row);
    const path = row.path.slice('pile/'.length);
    if (path === 'bomb.zip') continue;
    if (row.diagnosis === 'wrapped') {
      const below =
        nests.get(path)?.placed.filter((one) => startsWith(one.steps, row.inside)) ?? [];
      const leaf = wanted[Number(row.nearest?.slice(1))];
      check(
        leaf !== undefined && below.some(({ bytes }) => bytes.equals(leaf)),
        'called a wrapped copy of what it does not hold',
        row,
      );
    }
    if (row.firmware.length === 0) continue;
    const place = nests.get(path)?.placed.find((one) => sameWay(one.steps, row.inside));
    // Members that share bytes: each of them is the zeros of the first.
    if (place === undefined) check(false, 'something is found where nothing is', row);
    check(row.size === place.bytes.length, 'another size', { row, place });
    const digests = digestsOf(place.bytes);
    check(row.digests?.crc32 === digests.crc32, 'another CRC-32', { row, digests });
    for (const { id } of row.firmware) {
      check(wanted[Number(id.slice(1))]?.equals(place.bytes) === true, 'is not that firmware', row);
    }
  }
  for (const [path, { placed }] of nests) {
    for (const { steps, bytes, sound } of placed) {
      const index = wanted.findIndex((leaf) => leaf.equals(bytes));
      if (!sound || index === -1 || steps.length > RECOGNISE_LIMITS.depth) continue;
      const isFound = document.files.some(
        (row) =>
          row.path === `pile/${path}` &&
          // A container of nothing else is called a wrapped copy of it.
          (row.diagnosis === 'wrapped'
            ? startsWith(steps, row.inside) && row.nearest === `l${String(index)}`
            : sameWay(row.inside, steps) &&
              row.firmware.some(({ id }) => id === `l${String(index)}`)),
      );
      check(isFound || faulty.has(path), 'not found, and nothing said of it', { path, steps });
    }
  }
  check(bomb === null || faulty.has('bomb.zip'), 'nothing is said of a bomb', document.faults);
}

function manifestOf(wanted: readonly Buffer[]): string {
  const entries = wanted.map(
    (bytes, index) =>
      `  l${String(index)}:\n    path: l${String(index)}.bin\n    dumps: [{ size: ${String(bytes.length)}, crc32: "${digestsOf(bytes).crc32}" }]\n`,
  );
  const ids = wanted.map((_, index) => `l${String(index)}`);
  return `firmtally: 1\nfirmware:\n${entries.join('')}systems:\n  all:\n    requires: [${ids.join(', ')}]\n`;
}

function sameWay(a: readonly unknown[], b: readonly unknown[]): boolean {
  return JSON.stringify(a) === JSON.stringify(b);
}

function startsWith(steps: readonly unknown[], beginning: readonly unknown[]): boolean {
  return sameWay(steps.slice(0, beginning.length), beginning);
}

/** Node's own reader of archives, which tells how much comes out of it. */
function counting(inflated: { bytes: number }): Platform {
  const { archives } = nodePlatform;
  const counted = (archive: Archive): Archive => ({
    members: archive.members,
    read: async function* (member) {
      for await (const chunk of archive.read(member)) {
        inflated.bytes += chunk.length;
        yield chunk;
      }
    },
    close: () => archive.close(),
  });
  const gunzip = archives.gunzip?.bind(archives);
  return {
    ...nodePlatform,
    archives: {
      open: async (bytes) => counted(await archives.open(bytes)),
      ...(gunzip === undefined
        ? {}
        : {
            gunzip: async (source, limit) => {
              const out = await gunzip(source, limit);
              if (out instanceof Uint8Array) inflated.bytes += out.length;
              return out;
            },
          }),
    },
  };
}
