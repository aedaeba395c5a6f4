import type { Arguments } from './arguments/arguments.js';
import type { Context } from './context.js';
import type { ExitCode } from './exit-code.js';

/** What follows the command's name without dashes. */
export interface Operand {
  readonly name: string;
  readonly describe: string;
  /** At least one must be given. */
  readonly required: boolean;
  /** More than one may be given. */
  readonly many: boolean;
  readonly choices?: readonly string[];
  /** Names files, by patterns too. */
  readonly files?: boolean;
}

export interface Option {
  readonly describe: string;
  /** Without it, the option is a flag. */
  readonly value?: {
    /** As help and messages write it, e.g. `<folder>`. */
    readonly name: string;
    readonly required?: boolean;
    readonly many?: boolean;
    readonly choices?: readonly string[];
    readonly default?: string;
    /** What shell completion looks up in the manifests. */
    readonly ids?: 'systems' | 'loadouts';
  };
  readonly alias?: string;
}

export type Options = Readonly<Record<string, Option>>;

/**
 * One subcommand, as data: parsing, checking, help and shell completion all go
 * by it. Its module is loaded only when it is the one that was asked for.
 */
export interface Command {
  readonly operand: Operand | null;
  readonly options: Options;
  /** A command line, and what it is for. */
  readonly examples: readonly (readonly [line: string, purpose: string])[];
  /** Lines below the options. */
  readonly epilogue?: readonly string[];
  /** Makes what was given a checked configuration; throws FirmtallyError('usage'). */
  prepare(given: Arguments): Run;
}

/** Does the work; throws FirmtallyError for trouble. */
export type Run = (context: Context) => Promise<ExitCode>;
