import { FirmtallyError } from '@firmtally/core';

export const FORMATS = ['table', 'json', 'markdown', 'csv', 'tap', 'html'] as const;
type AuditFormat = (typeof FORMATS)[number];

/** What the command line asks for, checked. */
export interface AuditOptions {
  readonly root: string;
  readonly manifests: readonly string[];
  /** Null: all. */
  readonly systems: readonly string[] | null;
  readonly loadout: string | null;
  readonly format: AuditFormat;
  readonly detail: boolean;
  readonly strays: boolean;
  readonly strict: boolean;
  readonly wide: boolean;
  readonly since: string | null;
  /** Null: as many as the machine suggests. */
  readonly jobs: number | null;
}

type Args = Readonly<Record<string, unknown>>;

/** Throws FirmtallyError('usage'). */
export function auditOptions(args: Args): AuditOptions {
  const systems = list(args, 'system')?.flatMap((value) => value.split(',')) ?? null;
  const loadout = single(args, 'loadout');
  if (systems?.some((id) => id.trim() === '') === true) {
    throw usage('--system wants ids of systems', 'Write for example: --system osprey,kestrel');
  }
  if (systems !== null && loadout !== null) {
    throw usage(
      '--system and --loadout exclude each other',
      'A loadout is a list of systems already: give one of the two.',
    );
  }
  const manifests = list(args, 'manifest') ?? [];
  if (manifests.length === 0) {
    throw usage('audit needs a manifest', 'Name one with -m, for example: -m tern.yaml');
  }
  return {
    root: single(args, 'root') ?? '',
    manifests,
    systems: systems?.map((id) => id.trim()) ?? null,
    loadout,
    format: (single(args, 'format') ?? 'table') as AuditFormat,
    detail: args['detail'] === true,
    strays: args['strays'] === true,
    strict: args['strict'] === true,
    wide: args['wide'] === true,
    since: single(args, 'since'),
    jobs: jobsOf(single(args, 'jobs')),
  };
}

/** More threads than this help nobody. */
const MAX_JOBS = 256;

function jobsOf(text: string | null): number | null {
  if (text === null) return null;
  const jobs = /^[0-9]{1,6}$/.test(text) ? Number(text) : 0;
  if (jobs >= 1 && jobs <= MAX_JOBS) return jobs;
  throw usage(
    `--jobs "${text}" is not a whole number from 1 to ${String(MAX_JOBS)}`,
    'For example: --jobs 2',
  );
}

function list(args: Args, name: string): readonly string[] | null {
  const value = args[name];
  if (value === undefined) return null;
  return (Array.isArray(value) ? value : [value]).map(String);
}

function single(args: Args, name: string): string | null {
  const values = list(args, name) ?? [];
  if (values.length > 1) throw usage(`--${name} is given more than once`, 'Give it once.');
  const [value] = values;
  if (value === '')
    throw usage(
      `${name === 'root' ? '<root>' : `--${name}`} is empty`,
      'See: firmtally audit --help',
    );
  return value ?? null;
}

function usage(message: string, remedy: string): FirmtallyError {
  return new FirmtallyError('usage', message, remedy);
}
