/** Every hint has a sentence that says each of its values and names no option. */
import type { HintCode, HintValues } from '@firmtally/core';
import { hint } from '@firmtally/core/internal';
import { describe, expect, it } from 'vitest';

const counts = { there: 77, now: 55, expected: 99 };
const HINTS: { readonly [Code in HintCode]: readonly HintValues[Code][] } = {
  'empty-root': [{}],
  'root-too-deep': [{ ...counts, try: '../..' }],
  'root-too-high': [{ ...counts, try: 'media/card' }],
  'other-loadout': [
    { ...counts, loadout: 'desk', name: 'Curlew' },
    { ...counts, loadout: 'desk', name: null },
  ],
};

describe('hints', () => {
  it.each(Object.keys(HINTS) as HintCode[])('%s', (code) => {
    for (const values of HINTS[code]) {
      const { text, ...data } = hint(code, values as never);
      expect(text).toMatch(/^[A-Z].*[.?]$/);
      expect(text).not.toMatch(/--\w|firmtally/);
      expect(data).toEqual({ code, ...values });
      for (const value of Object.values(values)) {
        if (value !== null) expect(text).toContain(String(value));
      }
    }
  });
});
