import { createRequire } from 'node:module';
import { describe, expect, it } from 'vitest';
import stringWidth from 'string-width';

const require = createRequire(import.meta.url);
const lazyWidth =
  require('../../packages/tooling/src/build/lazy-string-width.cjs') as typeof stringWidth;

describe('the width table of the bundle', () => {
  it('agrees with string-width on every character of the basic plane it answers itself', () => {
    const wrong: string[] = [];
    for (let code = 0x20; code <= 0x257f; code++) {
      const character = String.fromCharCode(code);
      if (!/[\u0020-\u007e\u00a1-\u00ac\u00ae-\u024f\u2010-\u2027\u2500-\u257f]/.test(character)) {
        continue;
      }
      if (lazyWidth(character) !== stringWidth(character)) wrong.push(code.toString(16));
    }
    expect(wrong).toEqual([]);
  });

  it('leaves colour out of the count', () => {
    expect(lazyWidth('\u001b[1;31mred\u001b[0m')).toBe(3);
  });
});
