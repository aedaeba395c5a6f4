import type { Page } from 'playwright-core';

/** What is dropped: a file by its bytes, or a folder by what is in it. */
export type Dropped = string | readonly number[] | { readonly [name: string]: Dropped };

/**
 * Drops on a box of the page. Chromium makes no folder for a synthetic drop, so
 * the entries (File and Directory Entries API) are fakes.
 */
export async function drop(
  page: Page,
  on: string,
  items: Readonly<Record<string, Dropped>>,
): Promise<void> {
  await page.evaluate(
    ([selector, dropped]) => {
      const entry = (name: string, item: unknown): object =>
        typeof item === 'string' || Array.isArray(item)
          ? {
              isFile: true,
              isDirectory: false,
              name,
              file: (got: (file: File) => void) =>
                got(new File([typeof item === 'string' ? item : new Uint8Array(item)], name)),
            }
          : folder(name, Object.entries(item as object));
      const folder = (name: string, inside: readonly (readonly [string, unknown])[]): object => ({
        isFile: false,
        isDirectory: true,
        name,
        createReader: () => {
          let left = inside.map(([below, item]) => entry(below, item));
          return {
            readEntries: (got: (entries: readonly object[]) => void) => {
              got(left.slice(0, 100)); // as Chromium gives them
              left = left.slice(100);
            },
          };
        },
      });
      const event = new DragEvent('drop', { bubbles: true, cancelable: true });
      const all = Object.entries(dropped).map(([name, item]) => ({
        kind: 'file',
        webkitGetAsEntry: () => entry(name, item),
      }));
      Object.defineProperty(event, 'dataTransfer', { value: { items: all } });
      document.querySelector(selector)?.dispatchEvent(event);
    },
    [on, items] as const,
  );
}
