import { decodeName, encodeName } from '@firmtally/core';
import { hasUndecodableBytes } from '@firmtally/core/internal';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';

describe('names as bytes and text', () => {
  it.each([
    ['valid UTF-8', [0x63, 0xc3, 0xa9], 'cé'],
    ['a byte order mark is part of the name', [0xef, 0xbb, 0xbf, 0x61], '\ufeffa'],
    ['U+FFFD itself', [0xef, 0xbf, 0xbd], '\ufffd'],
    ['a lone byte', [0x61, 0xff, 0x62], 'a\udcffb'],
    ['an overlong form', [0xc0, 0xaf], '\udcc0\udcaf'],
    ['an encoded surrogate', [0xed, 0xb3, 0xbf], '\udced\udcb3\udcbf'],
    ['a sequence cut short', [0xf0, 0x9f, 0x8e], '\udcf0\udc9f\udc8e'],
    ['past U+10FFFF', [0xf4, 0x90, 0x80, 0x80], '\udcf4\udc90\udc80\udc80'],
    ['valid beside invalid', [0xf0, 0x9f, 0x8e, 0xae, 0x80, 0xc3, 0xa9], '🎮\udc80é'],
  ])('%s', (_, bytes, text) => {
    expect(decodeName(Uint8Array.from(bytes))).toBe(text);
    expect([...encodeName(text)]).toEqual(bytes);
  });

  it('any bytes survive the way there and back', () => {
    const likely = fc.constantFrom(0x61, 0x80, 0xbf, 0xc3, 0xe0, 0xed, 0xef, 0xf0, 0xf4, 0xff);
    const bytes = fc.array(fc.oneof(likely, fc.integer({ min: 0, max: 255 })), { maxLength: 12 });
    fc.assert(
      fc.property(bytes, (given) => {
        const name = decodeName(Uint8Array.from(given));
        expect([...encodeName(name)]).toEqual(given);
        // Node's own decoder agrees whether the name is UTF-8 as a whole.
        const valid = Buffer.from(Buffer.from(given).toString('utf8')).equals(Buffer.from(given));
        expect(hasUndecodableBytes(name)).toBe(!valid);
      }),
      { numRuns: 600, seed: 383 },
    );
  });
});
