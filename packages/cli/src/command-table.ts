import type { Command } from './command.js';

export interface CommandEntry {
  readonly describe: string;
  load(): Promise<{ readonly command: Command }>;
}

/** Every command, in the order `--help` lists them. */
export const COMMANDS: Readonly<Record<string, CommandEntry>> = {
  schema: {
    describe: 'Print the JSON Schema of a Firmtally document',
    load: () => import('./commands/schema.js'),
  },
};
