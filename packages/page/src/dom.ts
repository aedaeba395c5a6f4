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

/** A button that saves a file, which is made when it is asked for. */
export function downloadButton(label: string, name: string, make: () => Promise<Blob>): Node {
  const button = document.createElement('button');
  button.type = 'button';
  showText(button, label);
  button.addEventListener('click', () => {
    void make().then((blob) => {
      const url = URL.createObjectURL(blob);
      const link = document.createElement('a');
      link.href = url;
      link.download = name;
      link.click();
      // After the browser has begun to read it (common practice, no source).
      setTimeout(() => URL.revokeObjectURL(url), 10_000);
    });
  });
  return button;
}
