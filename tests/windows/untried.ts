/** Tells which commands and options of Firmtally no command line tries. */
import { execFileSync } from 'node:child_process';
import { COMMANDS } from '../../packages/cli/src/command-table.js';
import { inWorkspace } from '../../packages/tooling/src/paths.js';

const SHORT: Readonly<Record<string, string>> = {
  '--manifest': '-m',
  '--output': '-o',
  '--quiet': '-q',
  '--help': '-h',
};

/** Options that shells would be offered, by command. */
export function offeredOptions(): Map<string, string[]> {
  const program = inWorkspace('packages/cli/dist/bundle/firmtally.js');
  return new Map(
    Object.keys(COMMANDS).map((command) => {
      const words = [program, '--get-yargs-completions', 'firmtally', command, '--'];
      const text = execFileSync(process.execPath, words, {
        encoding: 'utf8',
        env: { ...process.env, SHELL: '/bin/bash' },
      });
      return [command, text.split('\n').filter((option) => option.startsWith('--'))];
    }),
  );
}

/** `<command>` and `<command> <option>`, in order. */
export function untried(
  lines: readonly string[],
  offered: ReadonlyMap<string, readonly string[]>,
): string[] {
  const missing: string[] = [];
  for (const [command, options] of offered) {
    const own = lines.map((line) => line.split(' ')).filter((words) => words[1] === command);
    if (own.length === 0) missing.push(command);
    for (const option of options) {
      // These are the same in every command.
      if (COMMON.has(option) && lines.some((line) => line.split(' ').includes(option))) continue;
      const names = [option, SHORT[option] ?? option];
      const tried = own.some((words) =>
        words.some((word) => names.some((name) => word === name || word.startsWith(`${name}=`))),
      );
      if (!tried) missing.push(`${command} ${option}`);
    }
  }
  return missing;
}

const COMMON = new Set([
  '--color',
  '--no-color',
  '--ascii',
  '--quiet',
  '--version',
  '--help',
  '--output',
]);
