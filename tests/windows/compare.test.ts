import { describe, expect, it } from 'vitest';
import type { Outcome, Outcomes } from './commands.js';
import { differences } from './compare.js';
import { untried } from './untried.js';

const outcome = (values: Partial<Outcome> = {}): Outcome => ({
  line: 'firmtally audit card',
  code: 1,
  signal: null,
  stdout: 'osprey: not ready\n',
  stderr: '',
  ...values,
});
const outcomes = (here: string, one: Outcome, files: Outcomes['files'] = {}): Outcomes => ({
  here,
  node: 'invented',
  outcomes: [one],
  files,
});

describe('differences', () => {
  it('are none where only the folder and the space on the disk differ', () => {
    const left = outcome({ stderr: '/tmp/a.b/x/y: no such folder\n', stdout: '"free": 12' });
    const right = outcome({ stderr: 'C:\\a.b\\x\\y: no such folder\n', stdout: '"free": 13' });
    expect(differences(outcomes('/tmp/a.b', left), outcomes('C:\\a.b', right))).toEqual([]);
  });

  it.each<[string, Partial<Outcome>]>([
    ['the exit code', { code: 2 }],
    ['a signal', { code: null, signal: 'SIGKILL' }],
    ['a line', { stdout: 'osprey: ready\n' }],
    ['a line more', { stdout: 'osprey: not ready\n\n' }],
    ['the end of a line', { stdout: 'osprey: not ready\r\n' }],
    ['a path elsewhere', { stderr: 'C:\\other: no such folder\n' }],
    ['the command', { line: 'firmtally audit' }],
  ])('are told of %s', (_what, values) => {
    const left = outcomes('/tmp/x', outcome());
    expect(differences(left, outcomes('C:\\x', outcome(values)))).toHaveLength(1);
  });

  it('are told of files, and of a command too few', () => {
    const left = outcomes('/tmp/x', outcome(), { 'a.bin': '00', 'b.bin': '00' });
    const right = outcomes('C:\\x', outcome(), { 'a.bin': '01', 'c.bin': '00' });
    expect(differences(left, right)).toHaveLength(3);
    expect(differences(left, { ...left, outcomes: [] })).toHaveLength(1);
  });
});

describe('untried', () => {
  it('names what no command line has', () => {
    const describe = 'invented';
    const format = { describe, value: { name: '<f>', choices: ['a', 'b', 'c'], default: 'a' } };
    const offered = new Map([
      ['', { quiet: { describe, alias: 'q' }, ascii: { describe } }],
      ['audit', { manifest: { describe, alias: 'm' }, jobs: { describe }, format }],
      ['place', { onto: { describe } }],
    ]);
    const lines = ['firmtally audit card -m a.yaml --format=b', 'firmtally digest x -q'];
    expect(untried(lines, offered)).toEqual([
      '--ascii',
      'audit --jobs',
      'audit --format c',
      'place',
    ]);
  });
});
