import type {
  FirmwareVerdict,
  FolderCheck,
  Requirement,
  SystemRow,
  Verdict,
} from '@firmtally/core';
import { Inventory, judgeReadiness } from '@firmtally/core/internal';
import { describe, expect, it } from 'vitest';
import { dumpOf, firmware, manifest, system, wholeSelection } from '../../support/entries.js';

const IDS = [
  'match',
  'mismatch',
  'misplaced',
  'miscased',
  'missing',
  'unverified',
  'unreadable',
] as const;

/** One firmware for each verdict, named by it; `presence` is miscased and has no digest. */
function readiness(
  given: Parameters<typeof system>[1],
  options: { strict?: boolean; paths?: readonly string[] } = {},
): SystemRow {
  const entries = IDS.map((id) =>
    firmware(id, { path: id, dumps: id === 'unverified' ? [] : [dumpOf(id)] }),
  );
  const presence = firmware('presence', { path: 'p' });
  const selection = wholeSelection(manifest([...entries, presence], [system('s', given)]));
  const verdict = (id: string, is: Verdict): FirmwareVerdict => ({
    id,
    verdict: is,
    // A presence-only entry's bytes are never proven.
    proven: ['match', 'misplaced', 'miscased'].includes(is) && id !== 'presence',
    expectedPath: id,
    foundAt: null,
    dump: null,
    judged: null,
    size: null,
    digests: null,
    facts: [],
  });
  const inventory = new Inventory(
    (options.paths ?? []).map((path) => ({ path, kind: 'file' as const, size: 1 })),
  );
  const verdicts = [...IDS.map((id) => verdict(id, id)), verdict('presence', 'miscased')];
  const [row] = judgeReadiness(selection, verdicts, inventory, options);
  if (row === undefined) throw new Error('no row');
  return row;
}

describe('readiness', () => {
  it.each<[string, readonly Requirement[], string]>([
    ['nothing required', [], 'ready'],
    ['a match', [{ firmware: 'match' }], 'ready'],
    ['one unverified', [{ firmware: 'match' }, { firmware: 'unverified' }], 'unproven'],
    ...(['mismatch', 'misplaced', 'miscased', 'missing', 'unreadable'] as const).map(
      (id): [string, readonly Requirement[], string] => [
        `${id} beside a match and an unverified`,
        [{ firmware: 'match' }, { firmware: id }, { firmware: 'unverified' }],
        'not-ready',
      ],
    ),
    ['any of, one matches', [{ anyOf: ['missing', 'match', 'mismatch'] }], 'ready'],
    ['any of, best unverified', [{ anyOf: ['missing', 'unverified'] }], 'unproven'],
    ['any of, none', [{ anyOf: ['missing', 'miscased'] }], 'not-ready'],
  ])('%s', (_, requires, is) => {
    expect(readiness({ requires }).readiness).toBe(is);
  });

  it('names the first alternative in listed order that matches', () => {
    const requires = [
      { anyOf: ['unverified', 'match'] },
      { anyOf: ['unverified', 'missing'] },
      { firmware: 'match' },
    ];
    expect(readiness({ requires }).requires).toEqual([
      { anyOf: ['unverified', 'match'], satisfiedBy: 'match', met: 'proven' },
      { anyOf: ['unverified', 'missing'], satisfiedBy: null, met: 'unproven' },
      { firmware: 'match', met: 'proven' },
    ]);
  });

  it('says of each optional firmware how it is met', () => {
    const optional = ['missing', 'match', 'unverified', 'miscased', 'presence'];
    const met = (given: Parameters<typeof system>[1]): string[] =>
      readiness(given).optionalFirmware.map((row) => row.met);
    expect(met({ optional })).toEqual(['lacking', 'proven', 'unproven', 'lacking', 'lacking']);
    expect(met({ optional, case: 'ignore' }).slice(3)).toEqual(['proven', 'unproven']);
  });

  it('is not lowered by optional firmware, which is counted', () => {
    const row = readiness({
      requires: [{ firmware: 'match' }],
      optional: ['missing', 'match', 'unverified'],
    });
    expect(row).toMatchObject({ readiness: 'ready', optional: { match: 1, total: 3 } });
  });

  it('counts miscased as met where the manifest ignores case', () => {
    const ignoring = { case: 'ignore' as const };
    expect(readiness({ ...ignoring, requires: [{ firmware: 'miscased' }] }).readiness).toBe(
      'ready',
    );
    expect(readiness({ ...ignoring, requires: [{ firmware: 'presence' }] }).readiness).toBe(
      'unproven',
    );
    expect(readiness({ requires: [{ firmware: 'presence' }] }).readiness).toBe('not-ready');
  });

  it('strict: unproven is not ready', () => {
    const requires = [{ firmware: 'unverified' }];
    expect(readiness({ requires }, { strict: true }).readiness).toBe('not-ready');
    expect(readiness({ requires: [{ firmware: 'match' }] }, { strict: true }).readiness).toBe(
      'ready',
    );
  });
});

describe('a folder check', () => {
  const check: FolderCheck = {
    path: 'games/osprey',
    atLeast: 2,
    extensions: ['osp', 'os.gz'],
    pictures: { folder: 'games/osprey/art', extensions: ['png'] },
  };
  const paths = [
    'games/osprey/One.OSP',
    'games/osprey/deep/er/two.os.gz',
    'games/osprey/three.txt',
    'games/osprey/.osp', // no name before the extension
    'games/osprey2/four.osp',
    'games/four.osp',
    'games/osprey/art/one.png',
    'games/osprey/art/two.png.txt',
    'games/osprey/art/three.png',
  ];

  it('counts files at any depth by extension, whatever its case, and their pictures', () => {
    const row = readiness({ folders: [check] }, { paths });
    expect(row.readiness).toBe('ready');
    expect(row.folders).toEqual([
      {
        path: 'games/osprey',
        extensions: ['osp', 'os.gz'],
        atLeast: 2,
        found: 2,
        enough: true,
        pictures: {
          folder: 'games/osprey/art',
          extensions: ['png'],
          found: 1,
          without: ['games/osprey/deep/er/two.os.gz'],
          unused: ['games/osprey/art/three.png'],
        },
      },
    ]);
  });

  it('too few files make a system not ready; missing pictures do not', () => {
    expect(readiness({ folders: [{ ...check, atLeast: 3 }] }, { paths }).readiness).toBe(
      'not-ready',
    );
    const bare = paths.filter((path) => !path.includes('/art/'));
    const row = readiness({ folders: [check] }, { paths: bare });
    expect(row).toMatchObject({ readiness: 'ready', folders: [{ pictures: { found: 0 } }] });
  });

  it('without extensions counts every file', () => {
    const row = readiness({ folders: [{ ...check, extensions: [], pictures: null }] }, { paths });
    expect(row.folders[0]?.found).toBe(7);
  });
});
