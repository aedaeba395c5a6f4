import { dumpName } from '@firmtally/core/internal';
import { expect, it } from 'vitest';
import { dumpOf, firmware } from '../../support/entries.js';

const withLabels = (...labels: string[]): ReturnType<typeof firmware> =>
  firmware('boot', {
    path: 'boot.bin',
    dumps: labels.map((label) => dumpOf(label, { label })),
  });

it.each([
  ['an only dump without a label is not named', ['#1'], '#1', null],
  ['an only dump with a label is', ['rev B'], 'rev B', 'rev B'],
  ['of several each is', ['#1', '#2'], '#1', '#1'],
  ['nothing stays nothing', ['#1'], null, null],
])('%s', (_, labels, label, name) => {
  expect(dumpName(withLabels(...labels), label)).toBe(name);
});

it('names the dump of an entry that is not known', () => {
  expect(dumpName(undefined, '#1')).toBe('#1');
});
