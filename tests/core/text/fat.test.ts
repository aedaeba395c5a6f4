/**
 * Sources: [FAT] Microsoft, "FAT: General Overview of On-Disk Format" (FAT32
 * File System Specification, fatgen103, 1.03); [NAMES] Microsoft, "Naming
 * Files, Paths, and Namespaces". The limits and lists below are written out
 * from them, not taken from the code.
 */
import {
  checkFatName,
  checkFatPath,
  FAT_MAX_FILE_SIZE,
  FAT_MAX_NAME,
  FAT_MAX_PATH,
} from '@firmtally/core/internal';
import { describe, expect, it } from 'vitest';

const rules = (name: string): string[] => checkFatName(name).map(({ code }) => code);

describe('checkFatName', () => {
  // [FAT], "Name Limits and Character Sets": the long-name set is the short-name set and six more.
  it.each([
    'a',
    'osprey_boot.bin',
    "$%'-_@~`!(){}^#&",
    '+,;=[]',
    'a b',
    '.hidden',
    'a.b.c',
    ' a',
    'é',
    '🎮',
  ])('allows %j', (name) => {
    expect(rules(name)).toEqual([]);
  });

  it.each(['"', '*', ':', '<', '>', '?', '\\', '|', '\u0000', '\u0001', '\n', '\u001f'])(
    'refuses the character %j',
    (c) => {
      expect(rules(`a${c}b`)).toEqual(['fat-character']);
    },
  );

  // [FAT]: "limited to 255 characters, not including the trailing NUL"; UTF-16 units, so an emoji is two.
  it('counts UTF-16 units', () => {
    expect(FAT_MAX_NAME).toBe(255);
    expect(rules('a'.repeat(255))).toEqual([]);
    expect(rules('a'.repeat(256))).toEqual(['fat-name-length']);
    expect(rules(`${'🎮'.repeat(127)}a`)).toEqual([]);
    expect(rules('🎮'.repeat(128))).toEqual(['fat-name-length']);
  });

  // [FAT]: trailing periods are ignored; [NAMES]: "Do not end a file or directory name with a space or a period."
  it.each(['a.', 'a ', 'a.. ', '...'])('refuses %j for its end', (name) => {
    expect(rules(name)).toContain('fat-trailing');
  });

  // [NAMES]: CON, PRN, AUX, NUL, COM0-COM9, COM¹²³, LPT0-LPT9, LPT¹²³; "also avoid these names followed immediately by an extension".
  it.each([
    'CON',
    'con',
    'prn',
    'AUX.bin',
    'nul.tar.gz',
    'COM1',
    'com0.x',
    'LPT9',
    'LPT¹',
    'com².a',
    'CON .txt',
  ])('refuses the device name %j', (name) => {
    expect(rules(name)).toContain('fat-reserved-name');
  });

  it.each(['CONS', 'COM10', 'COM', 'LPTX', 'a.con', 'console.bin', 'nulls'])(
    'knows that %j is no device name',
    (name) => {
      expect(rules(name)).toEqual([]);
    },
  );

  it('refuses bytes that are not Unicode', () => {
    expect(rules('a\udcff')).toEqual(['fat-not-unicode']);
  });
});

describe('checkFatPath', () => {
  it('checks every name', () => {
    expect(checkFatPath('a/b:c/nul').map(({ code }) => code)).toEqual([
      'fat-character',
      'fat-reserved-name',
    ]);
  });

  // [FAT]: "cannot exceed 260 characters, including the trailing NUL"; "X:\" and the NUL take four.
  it('limits the whole path', () => {
    expect(FAT_MAX_PATH).toBe(256);
    const path = (length: number): string => `${'a'.repeat(200)}/${'b'.repeat(length - 201)}`;
    expect(checkFatPath(path(256))).toEqual([]);
    expect(checkFatPath(path(257)).map(({ code }) => code)).toEqual(['fat-path-length']);
  });
});

// [FAT]: DIR_FileSize is a 32-bit DWORD.
it('limits files to 4 GiB - 1', () => {
  expect(FAT_MAX_FILE_SIZE).toBe(4 * 1024 ** 3 - 1);
});
