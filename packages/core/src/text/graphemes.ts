let segmenter: Intl.Segmenter | undefined;

/** What a reader takes for one character each (UAX #29), with its offset in UTF-16 units. */
export function graphemes(text: string): Iterable<Intl.SegmentData> {
  // Made when first needed: it costs several ms, and most runs never cut a word.
  segmenter ??= new Intl.Segmenter('en', { granularity: 'grapheme' });
  return segmenter.segment(text);
}
