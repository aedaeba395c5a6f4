import { escapeText } from '../../text/escape.js';
import { notShown } from '../words.js';

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

/** The first of a list as they are drawn, and in place of the others how many they are; all of them without a limit. */
export function firstOf<Item, Drawn>(
  all: readonly Item[],
  atMost: number | undefined,
  draw: (item: Item, index: number) => Drawn,
  more: (text: string) => Drawn,
): Drawn[] {
  if (atMost === undefined || all.length <= atMost) return all.map(draw);
  return [...all.slice(0, atMost).map(draw), more(notShown(all.length - atMost))];
}

/** The same of HTML that is joined by whoever asks. */
export function firstTexts<Item>(
  all: readonly Item[],
  atMost: number | undefined,
  draw: (item: Item) => string,
): string[] {
  return firstOf(all, atMost, draw, (text) => text);
}

/** The same of names and what they are. */
export function firstFacts<Item>(
  all: readonly Item[],
  atMost: number | undefined,
  draw: (item: Item) => HtmlFact,
): HtmlFact[] {
  return firstOf(all, atMost, draw, (text) => ['More', text]);
}

/** The same as paragraphs, or what holds such. */
export function firstBlocks<Item>(
  all: readonly Item[],
  atMost: number | undefined,
  draw: (item: Item, index: number) => string,
): string[] {
  return firstOf(all, atMost, draw, (text) => `<p>${text}</p>`);
}
