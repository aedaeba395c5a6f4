import { parseClusterSize } from '@firmtally/core';
import { Arguments, usage, type SelectedSystems } from '../arguments.js';

export const FORMATS = ['text', 'json'] as const;

/** What the command line asks for, checked. */
export interface PlaceOptions extends SelectedSystems {
  readonly sources: readonly string[];
  readonly onto: string;
  readonly manifests: readonly string[];
  readonly apply: boolean;
  readonly repair: boolean;
  /** Bytes; null asks the card. */
  readonly cluster: number | null;
  readonly format: (typeof FORMATS)[number];
}

/** Throws FirmtallyError('usage'). */
export function placeOptions(args: Readonly<Record<string, unknown>>): PlaceOptions {
  const given = new Arguments(args, 'place', 'source');
  const selected = given.selectedSystems();
  const sources = given.list('source');
  if (sources.includes('')) throw usage('a <source> is empty', 'Name files or folders.');
  if (sources.includes('-')) {
    throw usage('place cannot read standard input', 'Name files or folders to place from.');
  }
  return {
    ...selected,
    sources,
    onto: given.single('onto') ?? '',
    manifests: given.list('manifest'),
    apply: given.flag('apply'),
    repair: given.flag('repair'),
    cluster: clusterOf(given.single('cluster')),
    format: given.single('format') === 'json' ? 'json' : 'text',
  };
}

function clusterOf(text: string | null): number | null {
  if (text === null) return null;
  const size = parseClusterSize(text);
  if (size !== null) return size;
  throw usage(
    `--cluster "${text}" is not a cluster size`,
    'A power of two from 512 bytes to 32M, for example: --cluster 16K',
  );
}
