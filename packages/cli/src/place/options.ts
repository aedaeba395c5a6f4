import { FirmtallyError, parseClusterSize } from '@firmtally/core';

export const FORMATS = ['text', 'json'] as const;

/** What the command line asks for, checked. */
export interface PlaceOptions {
  readonly sources: readonly string[];
  readonly onto: string;
  readonly manifests: readonly string[];
  /** Null: all. */
  readonly systems: readonly string[] | null;
  readonly loadout: string | null;
  readonly apply: boolean;
  readonly repair: boolean;
  /** Bytes; null asks the card. */
  readonly cluster: number | null;
  readonly format: (typeof FORMATS)[number];
}

type Args = Readonly<Record<string, unknown>>;

/** Throws FirmtallyError('usage'). */
export function placeOptions(args: Args): PlaceOptions {
  const systems = args['system'] === undefined ? null : systemsOf(list(args, 'system'));
  const loadout = single(args, 'loadout');
  if (systems !== null && loadout !== null) {
    throw usage(
      '--system and --loadout exclude each other',
      'A loadout is a list of systems already: give one of the two.',
    );
  }
  const sources = list(args, 'source');
  if (sources.includes('')) throw usage('a <source> is empty', 'Name files or folders.');
  if (sources.includes('-')) {
    throw usage('place cannot read standard input', 'Name files or folders to place from.');
  }
  return {
    sources,
    onto: single(args, 'onto') ?? '',
    manifests: list(args, 'manifest'),
    systems,
    loadout,
    apply: args['apply'] === true,
    repair: args['repair'] === true,
    cluster: clusterOf(single(args, 'cluster')),
    format: single(args, 'format') === 'json' ? 'json' : 'text',
  };
}

function systemsOf(values: readonly string[]): readonly string[] {
  const ids = values.flatMap((value) => value.split(',')).map((id) => id.trim());
  if (!ids.includes('')) return ids;
  throw usage('--system wants ids of systems', 'Write for example: --system osprey,kestrel');
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

function list(args: Args, name: string): readonly string[] {
  const value = args[name];
  if (value === undefined) return [];
  return (Array.isArray(value) ? value : [value]).map(String);
}

function single(args: Args, name: string): string | null {
  const values = list(args, name);
  const [value] = values;
  if (values.length > 1) throw usage(`--${name} is given more than once`, 'Give it once.');
  if (value === '') throw usage(`--${name} is empty`, 'See: firmtally place --help');
  return value ?? null;
}

function usage(message: string, remedy: string): FirmtallyError {
  return new FirmtallyError('usage', message, remedy);
}
