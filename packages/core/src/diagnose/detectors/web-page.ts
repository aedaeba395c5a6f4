import { markedUtf16 } from '../../text/decode.js';
import { fact } from '../../facts/fact.js';
import { evident, type Detector } from '../subject.js';

/**
 * The tags of WHATWG MIME Sniffing, 7.1 "Identifying a resource with an unknown
 * MIME type", but for those of one or two letters, which other bytes can be by
 * accident. As there, leading white space is skipped, letter case is ignored,
 * and a space or `>` must follow.
 */
const OPENING =
  /^[\t\n\f\r ]*<(?:!doctype html|html|head|script|iframe|div|font|table|style|title|body)[ >]/i;

/** XHTML and pages that begin with a comment: HTML must follow in what was read. */
const LATER = /^[\t\n\f\r ]*<(?:\?xml\b|!--)[^]*<(?:!doctype html|html|head|body)[\s>]/i;

export const webPage: Detector = {
  name: 'web-page',
  description: 'The file is a web page, such as the error or log-in page a download ended at.',
  detect: async (subject) => {
    const text = decode(await subject.head());
    if (!OPENING.test(text) && !LATER.test(text)) return null;
    return evident('web-page', fact('web-page', {}));
  },
};

/** By byte order mark, else byte for byte: the tags are ASCII in every encoding that matters. */
function decode(head: Uint8Array): string {
  const utf16 = markedUtf16(head);
  if (utf16 !== null) return new TextDecoder(utf16).decode(head);
  const [first, second, third] = head;
  const start = first === 0xef && second === 0xbb && third === 0xbf ? 3 : 0;
  return new TextDecoder('latin1').decode(head.subarray(start));
}
