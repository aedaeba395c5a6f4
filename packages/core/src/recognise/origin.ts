import type { ContainerStep } from './containers.js';

/** Where bytes come from. */
export interface Origin {
  /** As the caller named it, with '/' separators; null is the card itself. */
  readonly source: string | null;
  /** '/'-joined, below the source; '' when the source is the file itself. */
  readonly path: string;
  /** The way into the ZIP or gzip file, and on into one in it; empty for the file itself. */
  readonly inside: readonly ContainerStep[];
}

/** How what lies inside is called: the member's path, or for gzip what the file is called without its ending. */
function innerName(outer: string, step: ContainerStep): string {
  return step.kind === 'unzip' ? step.member : outer.replace(/\.gz$/iu, '');
}

/** The name of an origin's bytes: its path, or what the innermost member is called. */
export function originName(path: string, inside: readonly ContainerStep[]): string {
  return inside.reduce(innerName, path);
}

/** What is shown of a place inside containers: what it lies in, then each step, outermost first. Untrusted text still. */
export function placeInside(where: string, inside: readonly ContainerStep[]): string {
  const way = inside.map((step) => (step.kind === 'gunzip' ? 'unpacked' : `member ${step.member}`));
  return [where, ...way].join(', ');
}
