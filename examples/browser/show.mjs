import { escapeText } from '@firmtally/core';

// Names and messages are untrusted: they become text, never markup, and what
// could reorder or hide text is escaped.

/**
 * @param {string} id
 * @param {string} text
 */
export function showText(id, text) {
  const element = document.getElementById(id);
  if (element !== null) element.textContent = escapeText(text);
}

/**
 * @param {string} id of a list
 * @param {readonly (readonly string[])[]} lines what, and more about it
 */
export function showLines(id, lines) {
  const items = lines.map(([what = '', more = '']) => {
    const item = document.createElement('li');
    const small = document.createElement('small');
    small.textContent = escapeText(more);
    item.append(escapeText(what), small);
    return item;
  });
  document.getElementById(id)?.replaceChildren(...items);
}
