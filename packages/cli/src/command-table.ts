import type { Command } from './command.js';

export interface CommandEntry {
  readonly describe: string;
  load(): Promise<{ readonly command: Command }>;
}

/** Every command, in the order `--help` lists them. */
export const COMMANDS: Readonly<Record<string, CommandEntry>> = {
  audit: {
    describe: 'Tell which systems are ready, why others are not, and what to do',
    load: () => import('./commands/audit.js'),
  },
  validate: {
    describe: 'Check manifests: every problem, with its place and what helps',
    load: () => import('./commands/validate.js'),
  },
  digest: {
    describe: 'Digest files, or verify a checksum list',
    load: () => import('./commands/digest.js'),
  },
  identify: {
    describe: 'Tell what each file of a pile is, or what is wrong with it',
    load: () => import('./commands/identify.js'),
  },
  place: {
    describe: 'Plan, and with --apply do, what makes a card ready; overwrites nothing',
    load: () => import('./commands/place.js'),
  },
  draft: {
    describe: 'Begin or extend a manifest: from known-good files, or a posted list',
    load: () => import('./commands/draft.js'),
  },
  schema: {
    describe: 'Print the JSON Schema of a Firmtally document',
    load: () => import('./commands/schema.js'),
  },
  completion: {
    describe: 'Print a completion script for bash or zsh',
    load: () => import('./commands/completion.js'),
  },
};
