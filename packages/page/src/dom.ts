import { escapeText } from '@firmtally/core';

/** The element of that id. Throws when the page has none of this kind: a mistake of ours. */
export function byId<E extends HTMLElement>(id: string, kind: new () => E): E {
  const element = document.getElementById(id);
  if (!(element instanceof kind)) throw new Error(`page.html lacks #${id}`);
  return element;
}

/** Shows untrusted text as text, with what could reorder or hide it escaped. */
export function showText(element: HTMLElement, text: string): void {
  element.textContent = escapeText(text);
}

/** An element holding untrusted text or other elements. */
export function make<K extends keyof HTMLElementTagNameMap>(
  tag: K,
  content: string | readonly Node[],
  attributes: Readonly<Record<string, string>> = {},
): HTMLElementTagNameMap[K] {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, value);
  if (typeof content === 'string') showText(element, content);
  else element.append(...content);
  return element;
}

/** A button that saves text as a file of the person's choosing; the text is made when it is asked for. */
export function downloadButton(
  label: string,
  name: string,
  type: string,
  text: string | (() => string),
): Node {
  const button = make('button', label, { type: 'button' });
  button.addEventListener('click', () => {
    const url = URL.createObjectURL(new Blob([typeof text === 'string' ? text : text()], { type }));
    const link = make('a', '', { href: url, download: name });
    link.click();
    // After the browser has begun to read it (common practice, no source).
    setTimeout(() => URL.revokeObjectURL(url), 10_000);
  });
  return button;
}
