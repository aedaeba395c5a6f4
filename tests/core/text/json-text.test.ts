import { expect, it } from 'vitest';
import { jsonText } from '@firmtally/core';

it('writes what could upset a terminal as escapes, and JSON readers turn them back', () => {
  // C1 and DEL (ECMA-48), bidirectional controls (UAX #9), a tag character (Unicode 23.9).
  const value = { 'a\u009b31m': ['\u007f', '\u202e\u2066', '\u{e0041}', '\ud800', '\u001b', 'ü'] };
  const text = jsonText(value);
  expect(text).not.toMatch(/[\0-\u0009\u000b-\u001f\u007f-\u009f\u202e\u2066\ud800-\udfff]/);
  expect(text).toContain('ü');
  expect(JSON.parse(text)).toEqual(value);
});
