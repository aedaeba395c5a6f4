import type { CST } from 'yaml';

/** Offsets of brackets and quotes that are opened and never closed, in order. */
export function findUnclosed(tokens: readonly CST.Token[]): number[] {
  const offsets: number[] = [];
  // Not recursive: each token is put off until those before it are done.
  const waiting: (CST.Token | null | undefined)[] = [...tokens].reverse();
  while (waiting.length > 0) {
    const token = waiting.pop();
    if (token === null || token === undefined) continue;
    switch (token.type) {
      case 'document':
        waiting.push(token.value);
        break;
      case 'flow-collection':
        if (!token.end.some(({ type }) => type === 'flow-map-end' || type === 'flow-seq-end')) {
          offsets.push(token.start.offset);
        }
        pushItems(waiting, token.items);
        break;
      case 'block-map':
      case 'block-seq':
        pushItems(waiting, token.items);
        break;
      case 'double-quoted-scalar':
      case 'single-quoted-scalar':
        if (token.source.length < 2 || token.source.at(-1) !== token.source[0]) {
          offsets.push(token.offset);
        }
        break;
      default:
        break;
    }
  }
  return offsets.sort((a, b) => a - b);
}

function pushItems(
  waiting: (CST.Token | null | undefined)[],
  items: readonly { key?: CST.Token | null; value?: CST.Token }[],
): void {
  for (const item of items) waiting.push(item.key, item.value);
}
