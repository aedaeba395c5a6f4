import { describe, expect, it } from 'vitest';
import { dumpOf, firmware } from '../../support/entries.js';
import { judge } from '../../support/judge.js';

const entry = (id: string, content: string): ReturnType<typeof firmware> =>
  firmware(id, { path: `fw/${id}.bin`, dumps: [dumpOf(content)] });

describe('what is read', () => {
  it('is the expected files only, on a card in order', async () => {
    const { folder } = await judge(
      { 'fw/a.bin': 'aaaa', 'fw/b.bin': 'bbbb', 'games/x.osp': 'xxxx', 'fw/c': 'cccc' },
      [entry('a', 'aaaa'), entry('b', 'bbbb')],
    );
    expect([...folder.digested].sort()).toEqual([
      ['fw/a.bin', 1],
      ['fw/b.bin', 1],
    ]);
  });

  it('is else what has an expected size, each once though three entries look for it', async () => {
    const { verdicts, folder } = await judge(
      {
        'z1.bin': 'aaaa',
        'z2.bin': 'bbbb',
        'z3.bin': 'xxxx',
        'long.bin': 'longer',
        l: { link: 'z3.bin' },
      },
      [entry('a', 'aaaa'), entry('b', 'bbbb'), entry('c', 'cccc')],
    );
    expect(verdicts.map((verdict) => verdict.foundAt)).toEqual(['z1.bin', 'z2.bin', null]);
    expect([...folder.digested].sort()).toEqual([
      ['z1.bin', 1],
      ['z2.bin', 1],
      ['z3.bin', 1],
    ]);
  });

  it('stops at the lowest right one', async () => {
    const { folder } = await judge({ a: 'aaaa', b: 'aaaa', c: 'aaaa' }, [entry('a', 'aaaa')], {
      jobs: 1,
    });
    expect([...folder.digested.keys()]).toEqual(['a']);
  });

  it('takes CRC-32, MD5 and SHA-1 at the expected path, SHA-256 when a dump gives it', async () => {
    const only = firmware('s', {
      path: 's.bin',
      dumps: [dumpOf('ssss', { algorithms: ['sha256'] })],
    });
    const { verdicts } = await judge({ 'fw/a.bin': 'aaaaa', 's.bin': 'ssss', 'p.bin': 'p' }, [
      entry('a', 'aaaaa'),
      firmware('p', { path: 'p.bin' }),
      only,
    ]);
    expect(verdicts.map(({ digests }) => Object.keys(digests ?? {}))).toEqual([
      ['crc32', 'md5', 'sha1'],
      ['crc32', 'md5', 'sha1'],
      ['crc32', 'md5', 'sha1', 'sha256'],
    ]);
  });

  it('makes a fault of each file that fails, once', async () => {
    const { verdicts, faults } = await judge(
      {
        'fw/a.bin': { unreadable: 'permission-denied', size: 4 },
        'old.bin': { unreadable: 'io-error', size: 4 },
        'fw/d.bin': { kind: 'fifo' },
      },
      [entry('a', 'aaaa'), entry('b', 'bbbb'), entry('c', 'cccc'), entry('d', 'dddd')],
    );
    expect(verdicts.map(({ verdict }) => verdict)).toEqual([
      'unreadable',
      'missing',
      'missing',
      'unreadable',
    ]);
    expect(faults.map(({ path, code }) => [path, code])).toEqual([
      ['fw/a.bin', 'permission-denied'],
      ['fw/d.bin', 'not-a-file'],
      ['old.bin', 'io-error'],
    ]);
  });
});
