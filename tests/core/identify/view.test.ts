import { describe, expect, it } from 'vitest';
import { advice, fact } from '@firmtally/core/internal';
import {
  pileViewOf,
  TOOL,
  type Identification,
  type IdentificationDocument,
} from '@firmtally/core';
import { dumpOf, firmwareOf, manifestOf, noise } from '../diagnose/support.js';

const boot = Buffer.from(noise(64, 1));
const MANIFEST = manifestOf([
  firmwareOf('boot', [dumpOf(boot)]),
  firmwareOf('splash', []),
  firmwareOf(
    'chips',
    [],
    [
      { path: 'k1', dumps: [dumpOf(boot)] },
      { path: 'k2', dumps: [dumpOf(boot)] },
    ],
  ),
]);

function row(path: string, about: Partial<Identification> = {}): Identification {
  const nothing = { firmware: [], diagnosis: null, nearest: null, facts: [], advice: null };
  return { path, inside: [], size: 1, digests: null, ...nothing, ...about };
}

function loose(path: string, member: string): Identification {
  const values = { firmware: 'chips', member };
  return row(path, {
    nearest: 'chips',
    facts: [fact('loose-member', values)],
    advice: advice('put-into-zip', { firmware: 'chips' }),
  });
}

function documentOf(...files: Identification[]): IdentificationDocument {
  const totals = {
    files: files.length,
    recognised: 0,
    needAttention: 0,
    unrelated: 0,
    notExamined: 0,
  };
  return { identification: 1, tool: TOOL, files, faults: [], totals };
}

const IS_BOOT = { firmware: [{ id: 'boot', dump: '#1', systems: [] }] };

describe('pileViewOf', () => {
  it('counts what of the manifest is here, each entry once', () => {
    const { outcome, placing } = pileViewOf(
      documentOf(row('a', IS_BOOT), row('b', IS_BOOT)),
      MANIFEST,
    );
    expect(outcome).toEqual([
      "Firmware here: 1 of the manifest's 3; 1 has no checksum to be found by.",
      'Not needed: 1 further copy.',
    ]);
    expect(placing).toBe('as-is');
  });

  it('says that a ZIP can be packed when each of its members is here, and not before', () => {
    const one = pileViewOf(documentOf(loose('a', 'k1'), loose('b', 'k1')), MANIFEST);
    // The card may have the other.
    expect(one.placing).toBe('as-is');
    expect(one.outcome[0]).toMatch(/^Firmware here: none of the manifest's 3; /);
    const both = pileViewOf(documentOf(loose('a', 'k1'), loose('b', 'k2')), MANIFEST);
    expect(both.outcome[0]).toMatch(/, 1 more once packed; /);
  });

  it('asks for no attention to what something right is here for', () => {
    const cut = row('cut', { nearest: 'boot', diagnosis: 'truncated' });
    const alone = pileViewOf(documentOf(cut), MANIFEST);
    expect(alone.sections.map(({ id }) => id)).toEqual(['attention']);
    const beside = pileViewOf(documentOf(cut, row('whole', IS_BOOT)), MANIFEST);
    expect(beside.sections.map(({ id }) => id)).toEqual(['recognised', 'spare']);
    expect(beside.sections[1]?.rows).toEqual([
      { places: ['cut'], what: ['boot: truncated'], facts: [], advice: null, right: 'whole' },
    ]);
  });

  it('puts together those of which the same is to be said, and no others', () => {
    const { sections } = pileViewOf(
      documentOf(
        row('a', IS_BOOT),
        row('b', { firmware: [{ id: 'boot', dump: 'rev B', systems: [] }] }),
        row('c', IS_BOOT),
      ),
      MANIFEST,
    );
    expect(sections[0]?.rows.map(({ places }) => places)).toEqual([['a', 'c'], ['b']]);
  });
});
