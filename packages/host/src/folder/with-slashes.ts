import { sep } from 'node:path';

/** A path of this system as it is shown and written into documents: with '/' separators. */
export function withSlashes(path: string): string {
  return sep === '/' ? path : path.replaceAll(sep, '/');
}
