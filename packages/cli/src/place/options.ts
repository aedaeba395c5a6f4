import { parseClusterSize } from '@firmtally/core/internal';
import { usage, type Arguments, type SelectedSystems } from '../arguments/arguments.js';

export const FORMATS = ['text', 'json'] as const;

/** What the command line asks for, checked. */
export interface PlaceOptions extends SelectedSystems {
  readonly sources: readonly string[];
  readonly onto: string;
  readonly manifests: readonly string[];
  readonly apply: boolean;
  readonly repair: boolean;
  /** Places although the folder seems not to be the card's own. */
  readonly anyway: boolean;
  /** Bytes; null asks the card. */
  readonly cluster: number | null;
  readonly format: (typeof FORMATS)[number];
}

/** Throws FirmtallyError('usage'). */
export function placeOptions(given: Arguments): PlaceOptions {
  const selected = given.selectedSystems();
  const sources = given.operands;
  if (sources.includes('-')) {
    throw usage('place cannot read standard input', 'Name files or folders to place from.');
  }
  return {
    ...selected,
    sources,
    onto: given.text('onto') ?? '',
    manifests: given.texts('manifest'),
    apply: given.flag('apply'),
    repair: given.flag('repair'),
    anyway: given.flag('anyway'),
    cluster: clusterOf(given.text('cluster')),
    format: given.choice('format', FORMATS),
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
