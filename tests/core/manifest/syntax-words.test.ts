import { readManifests } from '@firmtally/core';
import { describe, expect, it } from 'vitest';

/** A slip of YAML -> line and column of what is meant, and the words for it. */
const SLIPS: Readonly<Record<string, string>> = {
  'a: ["x" "y"]': '1:9 A comma is missing between two items.',
  'a: ["x" [b}]': '1:9 A comma is missing between two items.',
  'a: {b: ["x" "y"], c: "d" }\ne: ["f" "g"]': '1:13 A comma is missing between two items.',
  '{\n "a": 1\n "b": 2\n}': '2:7 A comma is missing at the end of this line.',
  'a: [b\n  c: d]': '1:5 A comma is missing at the end of this line.',
  '{"a": 1,,"b": 2}': '1:9 There is one comma too many here.',
  'a: [x, {b: c]': '1:8 This bracket is closed by a ], which is of another kind.',
  'a: [x, {b: c': '1:8 This bracket is never closed.',
  '[a, b': '1:1 This bracket is never closed.',
  'a: {b: c\nd: e': '1:4 This bracket is never closed.',
  'a: "x\nb: y': '1:4 This quoted text is never closed.',
  "a: ['x, y]": '1:5 This quoted text is never closed.',
  "a: 'it's'": '1:8 The quoted text before this has ended.',
  'a: "b" c': '1:8 The quoted text before this has ended.',
  'a: "b"#c': '1:7 A space is missing before the # of a comment.',
  'a: b\nfoo\nc: d': '2:1 This line has no colon, so it is read as a part of the next.',
  'foo\nc: d': '1:1 This line has no colon, so it is read as a part of the next.',
  'a:b\nc: d': '1:2 A space is missing after this colon.',
  '"a": b\n"c" "d"': '2:1 A key stands here without a value.',
  'a: b: c': '1:4 A second colon on one line makes a map inside a map.',
  'a: b\n  c: d':
    '2:3 This line is indented further than the key above, so it is read as a part of its value.',
  'x:\n  - a: b\n   c: d': '3:4 This line belongs to no item of the list above.',
  'x:\n   a: b\n  c: d': '3:1 The indent does not line up with the lines around it.',
  'x:\n  - b\n - c': '3:1 This list item does not line up with the lines around it.',
  'a: - b': '1:4 A list cannot start on the line of its key.',
  'a:\n\t- b': '2:1 A tab is used for indenting; YAML allows only spaces there.',
  'a: `b`': '1:4 Text without quotes cannot start with this character.',
  'a: "C:\\card"': '1:7 This backslash sequence means nothing in double quotes.',
};

describe('a slip of YAML', () => {
  it.each(Object.entries(SLIPS))('%j', async (text, said) => {
    const bytes = new TextEncoder().encode(`${text}\n`);
    const { problems } = await readManifests([{ path: 'm', bytes }]);
    const slip = problems.find(({ rule }) => rule === 'yaml-syntax');
    expect(`${String(slip?.line)}:${String(slip?.column)} ${String(slip?.message)}`).toBe(said);
  });
});
