// Stands in for string-width in the CLI bundle; see lazy-string-width.ts.

const COLOUR = /\u001b\[[\d;]*m/g;

// Printable ASCII, Latin letters without combining marks, dashes, quotes and the ellipsis, box drawing.
const ONE_CELL_EACH = /^[\u0020-\u007e\u00a1-\u00ac\u00ae-\u024f\u2010-\u2027\u2500-\u257f]*$/;

/** @type {((text: string, options?: object) => number) | undefined} */
let full;

/**
 * @param {string} text
 * @param {object} [options]
 * @returns {number} cells
 */
module.exports = (text, options) => {
  const bare = text.includes('\u001b') ? text.replace(COLOUR, '') : text;
  if (ONE_CELL_EACH.test(bare)) return bare.length;
  // eslint-disable-next-line @typescript-eslint/no-require-imports -- only a require is lazy and synchronous
  full ??= /** @type {typeof import('string-width')} */ (require('string-width')).default;
  return full(text, options);
};
