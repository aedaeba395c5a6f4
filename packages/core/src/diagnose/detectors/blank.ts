import { observed, type Detector } from '../subject.js';

export const blank: Detector = {
  name: 'blank',
  description: 'Every byte is 00, or every byte is FF, as in an unwritten or erased chip.',
  detect: async (subject) => {
    const fill = (await subject.head())[0];
    if (fill !== 0x00 && fill !== 0xff) return null;
    // Reads on only while all is blank, so this is cheap for any other file.
    for await (const chunk of subject.content.read({ start: 0, end: subject.size })) {
      if (chunk.some((byte) => byte !== fill)) return null;
    }
    return observed('blank', true, `Every byte is ${fill === 0 ? '00' : 'FF'}.`);
  },
};
