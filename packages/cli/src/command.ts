import type { Argv } from 'yargs';
import type { Context } from './context.js';
import type { ExitCode } from './exit-code.js';

/** One subcommand. Its module is loaded only when it is the one that was asked for. */
export interface Command {
  /** yargs positionals, e.g. `<root>`. */
  readonly positionals: string;
  /** Declares options and examples. */
  options(yargs: Argv): Argv;
  /** Runs with the parsed arguments; throws FirmtallyError for trouble. */
  run(args: Readonly<Record<string, unknown>>, context: Context): Promise<ExitCode>;
}
