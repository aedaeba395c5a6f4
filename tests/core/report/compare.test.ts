import { compareReports, type FirmwareRow, type Report, type Verdict } from '@firmtally/core';
import { describe, expect, it } from 'vitest';

function row(id: string, verdict: Verdict, given: Partial<FirmwareRow> = {}): FirmwareRow {
  const path = `fw/${id}.bin`;
  return {
    id,
    verdict,
    expectedPath: path,
    foundAt: verdict === 'missing' ? null : path,
    dump: null,
    size: verdict === 'missing' ? null : 4,
    digests: verdict === 'missing' ? null : { crc32: '00000001', md5: 'a' },
    diagnosis: null,
    advice: null,
    facts: [],
    note: null,
    expected: null,
    judged: verdict === 'missing' ? null : path,
    systems: [],
    ...given,
  };
}

function report(firmware: readonly FirmwareRow[], ready = true): Report {
  return {
    report: 1,
    tool: { name: 'firmtally', version: '0' },
    root: 'card',
    manifests: [],
    selection: { systems: [], loadout: null, loadoutName: null },
    toGet: [],
    hints: [],
    systems: [
      {
        id: 's',
        name: 's',
        readiness: ready ? 'ready' : 'not-ready',
        requires: [],
        optional: { match: 0, total: 0 },
        optionalFirmware: [],
        folders: [],
      },
    ],
    firmware,
    strays: [],
    faults: [],
    totals: {
      systems: { ready: 1, unproven: 0, 'not-ready': 0 },
      firmware: {
        match: 0,
        mismatch: 0,
        misplaced: 0,
        miscased: 0,
        missing: 0,
        unverified: 0,
        unreadable: 0,
      },
    },
  };
}

const old = { unchangedTime: (): boolean => true };

describe('compareReports', () => {
  it('sorts changes of verdict by what they mean', () => {
    const before = report([
      row('a', 'match'),
      row('b', 'missing'),
      row('c', 'match'),
      row('d', 'missing'),
      row('e', 'match'),
      row('gone', 'match'),
    ]);
    const now = report(
      [
        row('a', 'mismatch'),
        row('appeared', 'match'),
        row('b', 'match'),
        row('c', 'unverified'),
        row('d', 'misplaced'),
        row('e', 'match'),
      ],
      false,
    );
    expect(compareReports(before, now, old)).toEqual({
      newlyWrong: [{ firmware: 'a', before: 'match', now: 'mismatch' }],
      newlyRight: [{ firmware: 'b', before: 'missing', now: 'match' }],
      otherwise: [
        { firmware: 'c', before: 'match', now: 'unverified' },
        { firmware: 'd', before: 'missing', now: 'misplaced' },
      ],
      unchanged: 1,
      changedBytes: [],
      appeared: ['appeared'],
      gone: ['gone'],
      systems: [{ system: 's', before: 'ready', now: 'not-ready' }],
      advice: null,
    });
  });

  const changed = { digests: { crc32: '00000002', md5: 'b' } };
  it.each<[string, FirmwareRow, FirmwareRow, boolean, boolean | null]>([
    ['same bytes', row('a', 'match'), row('a', 'match'), true, null],
    [
      'other bytes, same size and time',
      row('a', 'match'),
      row('a', 'mismatch', changed),
      true,
      true,
    ],
    ['other bytes, newer', row('a', 'match'), row('a', 'mismatch', changed), false, false],
    ['presence only too', row('a', 'unverified'), row('a', 'unverified', changed), true, true],
    [
      'another size',
      row('a', 'match'),
      row('a', 'mismatch', { size: 5, digests: null }),
      true,
      false,
    ],
    [
      'not hashed, same size',
      row('a', 'match'),
      row('a', 'mismatch', { digests: null }),
      true,
      null,
    ],
    [
      'no algorithm in common',
      row('a', 'misplaced', { digests: { crc32: '1' } }),
      row('a', 'misplaced', { digests: { sha1: '2' } }),
      true,
      null,
    ],
    [
      'another file: moved since',
      row('a', 'misplaced', { foundAt: 'x', judged: 'x' }),
      row('a', 'match', changed),
      true,
      null,
    ],
    [
      'a mismatch whose right bytes lie elsewhere is still about the expected path',
      row('a', 'match'),
      row('a', 'mismatch', { ...changed, foundAt: 'old/a.bin' }),
      true,
      true,
    ],
    ['vanished', row('a', 'match'), row('a', 'missing'), true, null],
  ])('%s', (_, before, now, untouched, silently) => {
    const asked: string[] = [];
    const { changedBytes, advice } = compareReports(report([before]), report([now]), {
      unchangedTime: (path) => {
        asked.push(path);
        return untouched;
      },
    });
    expect(changedBytes.map((change) => change.silently)).toEqual(
      silently === null ? [] : [silently],
    );
    expect(advice?.code).toBe(silently === true ? 'save-card' : undefined);
    if (silently === true) expect(asked).toEqual(['fw/a.bin']);
  });
});
