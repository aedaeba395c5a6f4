import { isFilledWith } from '../../bytes/fill.js';
import { fact } from '../../facts/fact.js';
import { evident, type Detector } from '../subject.js';

export const blank: Detector = {
  name: 'blank',
  description: 'Every byte is 00, or every byte is FF, as in an unwritten or erased chip.',
  detect: async (subject) => {
    const { size, fill: seen } = subject;
    const fill = seen ?? (await subject.head())[0];
    if (fill !== 0x00 && fill !== 0xff) return null;
    if (seen === undefined) {
      // Of a larger file only the reading that took its digests could have told.
      if (size > subject.limits.wholeFileBytes) return null;
      // Reads on only while all is blank, so this is cheap for any other file.
      for await (const chunk of subject.content.read({ start: 0, end: size })) {
        if (!isFilledWith(chunk, fill)) return null;
      }
    }
    return evident('blank', fact('blank', { size, fill: fill === 0 ? '00' : 'FF' }));
  },
};
