/** Every code has a sentence, and none leaves a value out: what is data is also said. */
import type { AdviceCode, AdviceValues, FactCode, FactValues } from '@firmtally/core';
import { advice, fact } from '@firmtally/core/internal';
import { describe, expect, it } from 'vitest';

type Samples<Values> = { readonly [Code in keyof Values]: readonly Values[Code][] };

const location = { file: 'invented.yaml', line: 12, column: 9 };
const crc32 = { value: 'crc32', manifest: '11111111', file: '22222222' } as const;
const size = { value: 'size', manifest: '3', file: '4' } as const;

const FACTS: Samples<FactValues> = {
  'read-through-link': [{ path: 'a/b' }],
  unreadable: [{ fault: 'io-error', reason: 'it hums' }],
  unlisted: [{ path: 'a/b', reason: 'it hums' }],
  'more-unlisted': [{ count: 7 }],
  'no-folder': [
    { path: 'a/b', standing: 'file' },
    { path: 'a/b', standing: 'link-broken' },
  ],
  'no-digest': [{}],
  'size-only': [{ size: 77 }],
  'wrong-size': [{ size: 77, sizes: [88, 99] }],
  'wrong-bytes': [{ size: 77 }],
  'wrong-digests': [{ size: 77 }],
  'list-slip': [
    { dump: 'rev', agrees: [size], differs: [crc32], location },
    { dump: 'rev', agrees: [crc32], differs: [size], location: null },
  ],
  empty: [{}],
  blank: [
    { size: 77, fill: 'FF' },
    { size: 88, fill: '00' },
  ],
  'web-page': [{}],
  'cut-short': [{ size: 77, expected: 88 }],
  'zip-without-end': [{}],
  padding: [{ bytes: 77, fill: '55' }],
  'bytes-after': [{ bytes: 77 }, { bytes: 1 }],
  'bytes-before': [{ bytes: 77 }, { bytes: 1 }],
  swapped: [{ order: 'pairs' }, { order: 'words' }, { order: 'halves' }],
  repeated: [{ times: 2 }, { times: 7 }],
  interleaved: [
    { as: 'mixed', secondFirst: true },
    { as: 'mixed', secondFirst: false },
    { as: 'parted', secondFirst: true },
    { as: 'parted', secondFirst: false },
  ],
  'newlines-changed': [{ from: 'LF', to: 'CR LF' }],
  'in-gzip': [{}],
  'in-zip': [{ member: 'm.rom' }],
  content: [{ fact: fact('empty', {}) }],
  'of-member': [{ member: 'm.rom', fact: fact('empty', {}) }],
  'other-firmware': [
    { firmware: 'kestrel', dump: 'rev' },
    { firmware: 'kestrel', dump: null },
  ],
  'loose-member': [{ firmware: 'kestrel', member: 'm.rom' }],
  'not-a-zip': [{ reason: 'it hums' }],
  'zip-not-opened': [{}],
  'member-missing': [
    { member: 'm.rom', near: null },
    { member: 'm.rom', near: 'M.ROM' },
  ],
  'member-size': [{ member: 'm.rom', size: 77, sizes: [88] }],
  'member-bytes': [{ member: 'm.rom' }],
  'member-unreadable': [
    { member: 'm.rom', encrypted: true, reason: 'it hums' },
    { member: 'm.rom', encrypted: false, reason: 'it hums' },
  ],
  'member-of-other-name': [{ member: 'm.rom', is: 'n.rom' }],
  'member-size-only': [{ member: 'm.rom', size: 77 }],
  'member-not-read': [{ member: 'm.rom' }],
  'extra-members': [
    { members: ['m.rom', 'n.rom'], more: 0 },
    { members: ['m.rom', 'n.rom'], more: 77 },
  ],
  'examined-in-part': [{ limit: 77 }],
  'bounds-reached': [{}],
  'not-looked-at': [
    { count: 1, why: 'too-deep' },
    { count: 77, why: 'too-much' },
  ],
  'met-instead': [
    { firmware: 'kestrel', source: null, path: 'a/b', fact: fact('empty', {}) },
    { firmware: 'kestrel', source: 'pile', path: 'a/b', fact: fact('empty', {}) },
  ],
  'name-only': [{ firmware: 'kestrel' }],
};

const ADVICE: Samples<AdviceValues> = {
  'add-digest': [{ firmware: 'kestrel' }],
  'put-dump': [
    { path: 'a/b', blockedBy: null },
    { path: 'a/b', blockedBy: 'c' },
  ],
  'copy-there': [
    { from: 'x/y', path: 'a/b', blockedBy: null },
    { from: 'x/y', path: 'a/b', blockedBy: 'c' },
  ],
  'rename-to': [{ from: 'x/y', to: 'a/b' }],
  'replace-with': [{ from: 'x/y' }],
  replace: [{}],
  repair: [{ correction: 'only-once' }, { correction: 'unwrapped' }],
  'check-manifest': [
    { location, values: ['size', 'crc32'] },
    { location: null, values: ['md5'] },
  ],
  'exchange-with': [{ firmware: 'kestrel' }],
  'copy-again': [{ because: 'empty' }, { because: 'cut-short' }],
  'dump-again': [{ because: 'blank' }, { because: 'unknown' }],
  'replace-web-page': [{}],
  'make-zip-again': [
    { because: 'wrong-members' },
    { because: 'names-mixed-up' },
    { because: 'encrypted' },
    { because: 'unreadable' },
    { because: 'damaged' },
  ],
  'put-into-zip': [{ firmware: 'kestrel' }],
  'look-for-revision': [{}],
  'move-aside': [{ path: 'a/b' }],
  'replace-link': [{}],
  'allow-reading': [{ path: 'a/b' }, { path: null }],
  'close-program': [{}],
  'check-card': [{}],
  'wait-and-repeat': [{}],
  'try-another-reader': [{}],
  'save-card': [{}],
};

/** Values that only machines need: the sentence says the same in other words. */
const NOT_SAID: readonly string[] = ['fault'];

/** The sentence made of values that note which of them were asked for. */
function saying<Values extends object>(
  values: Values,
  make: (values: Values) => string,
): { readonly text: string; readonly said: ReadonlySet<string> } {
  const said = new Set<string>();
  const watched = new Proxy(values, {
    get: (target, key, receiver) => {
      said.add(String(key));
      return Reflect.get(target, key, receiver) as unknown;
    },
    // Copying the values into the fact is not saying them.
    ownKeys: () => [],
  });
  return { text: make(watched), said };
}

function check(samples: readonly object[], make: (values: never) => string): void {
  const texts = new Set<string>();
  const said = new Set<string>();
  for (const values of samples) {
    const found = saying(values, make as (values: object) => string);
    expect(found.text).toMatch(/^["\w].*\.$/su);
    expect(found.text).not.toMatch(/undefined|null|\[object|--|firmtally/u);
    texts.add(found.text);
    for (const key of found.said) said.add(key);
  }
  expect(texts.size, 'each sample says something else').toBe(samples.length);
  const keys = new Set(samples.flatMap((each) => Object.keys(each)));
  for (const key of keys) if (!NOT_SAID.includes(key)) expect(said, key).toContain(key);
}

describe('the sentence of a fact', () => {
  it.each(Object.entries(FACTS))('%s', (code, samples) => {
    check(samples, (values) => fact(code as FactCode, values).text);
  });
});

describe('the sentence of advice', () => {
  it.each(Object.entries(ADVICE))('%s', (code, samples) => {
    check(samples, (values) => advice(code as AdviceCode, values).text);
  });
});

it('a fact is its values as they are', () => {
  const values = { member: 'm.rom', near: 'M.ROM' };
  expect(fact('member-missing', values)).toEqual({
    code: 'member-missing',
    text: 'Member "m.rom" is not in the ZIP; "M.ROM" is.',
    ...values,
  });
});
