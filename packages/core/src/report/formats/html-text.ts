import { escapeText } from '../../text/escape.js';

/** A name and what it is, both HTML already. */
export type HtmlFact = readonly [name: string, value: string];

/** Names and what they are, in the order given. */
export function factList(pairs: readonly HtmlFact[]): string {
  if (pairs.length === 0) return '';
  const rows = pairs.map(([name, value]) => `<div><dt>${name}</dt> <dd>${value}</dd></div>`);
  return `<dl>${rows.join('')}</dl>`;
}

const ENTITIES: Readonly<Record<string, string>> = {
  '&': '&amp;',
  '<': '&lt;',
  '>': '&gt;',
  '"': '&quot;',
  "'": '&#39;',
};

/** Untrusted text for element content and quoted attributes (HTML Standard, 13.3 "escaping a string"). */
export function escaped(untrusted: string): string {
  return escapeText(untrusted).replaceAll(/[&<>"']/g, (character) => ENTITIES[character] ?? '');
}

/** A path that may be broken after a separator, and so nowhere inside a word. */
export function breakablePath(untrusted: string): string {
  return escaped(untrusted).replaceAll(/[/_]/g, '$&<wbr>');
}

/** Text in which a path may occur. */
export function breakable(untrusted: string): string {
  return escaped(untrusted).replaceAll('/', '/<wbr>');
}
