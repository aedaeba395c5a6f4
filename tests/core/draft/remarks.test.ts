import { describe, expect, it } from 'vitest';
import type { Drafted } from '@firmtally/core';
import { draftLists, remarksOf } from '@firmtally/core/internal';

// INVENTED checksums.
const hex = (number: number): string => number.toString(16).padStart(32, '0');

function drafted(text: string): Drafted {
  return draftLists([{ path: 'list', bytes: new TextEncoder().encode(text) }]);
}

describe('what is said of a draft', () => {
  it('tells rounded sizes once, and of which lines the same goes', () => {
    const rows = [...Array(9).keys()].map((at) =>
      at === 4 ? `| f${at} | 512 | ${hex(at)} |` : `| f${at} | ${at + 1} KB | ${hex(at)} |`,
    );
    const { notes } = remarksOf(drafted(`| File | Size | MD5 |\n|-|-|-|\n${rows.join('\n')}\n`));
    expect(notes).toEqual([
      'list:3: note: The size "1 KB" is rounded, so it is left out.',
      'list: note: The same goes for: lines 4-6 and 8-11.',
    ]);
  });

  it('names every line that is not used by its number, the first of a kind by its words too', () => {
    const lines = [...Array(40).keys()].map((at) =>
      at % 2 === 0 ? `words without any sum ${at}` : `f${at}.bin ${hex(at)}`,
    );
    const { leftOut } = remarksOf(drafted(lines.join('\n')));
    expect(leftOut).toHaveLength(11);
    expect(leftOut[0]).toBe(
      'list:1: not used: There is no checksum in it. In: words without any sum 0',
    );
    expect(leftOut[10]).toBe(
      'list: not used either, for the same reason: lines 21, 23, 25, 27, 29, 31, 33, 35, 37 and 39.',
    );
  });

  it('tells each doubt about a checksum in full', () => {
    const table = [
      'file,label,md5,sha1',
      `a.bin,East,${hex(1)},`,
      `a.bin,East,${hex(2)},`,
      `a.bin,West,${hex(3)},${'3'.repeat(40)}`,
      `a.bin,South,${hex(3)},${'4'.repeat(40)}`,
    ];
    const { notes } = remarksOf(drafted(table.join('\n')));
    expect(notes.map((line) => line.slice(0, 45))).toEqual([
      'list:3: note: It has the label "East" of line',
      'list:5: note: It shares a checksum with line ',
    ]);
  });

  it('says how to write that any one of several will do, where their labels differ', () => {
    const table = [
      'system,file,region,md5',
      `Osprey 8,o_e.bin,East,${hex(1)}`,
      `Osprey 8,o_w.bin,West,${hex(2)}`,
      `Osprey 8,font.bin,,${hex(3)}`,
      `Tern,t_a.bin,East,${hex(4)}`,
      `Tern,t_b.bin,East,${hex(5)}`,
    ];
    expect(remarksOf(drafted(table.join('\n'))).notes).toEqual([
      'list:2: note: Osprey 8 requires each of o-e (East), o-w (West); where any one of them will do, write "any-of: [o-e, o-w]" in its place.',
    ]);
  });
});

describe('a line of loose text', () => {
  it.each([
    [`oh and boot.bin also exists: ${hex(1)}`, 'boot.bin', false],
    [`and optional font.bin crc 1a2b3c4d`, 'font.bin', true],
    [`font.bin (optional) ${hex(1)}`, 'font.bin', true],
    [`font.bin is not optional ${hex(1)}`, 'font.bin', false],
  ])('%s', (line, path, optional) => {
    const { firmware, systems } = drafted(line);
    expect(firmware.map((one) => one.path)).toEqual([path]);
    expect(systems[0]?.optional).toHaveLength(optional ? 1 : 0);
  });
});
