/** Tells which commands, options and their choices no command line tries. */
import { COMMANDS } from '../../packages/cli/src/command-table.js';
import type { Options } from '../../packages/cli/src/command.js';
import { COMMON_OPTIONS } from '../../packages/cli/src/arguments/common-options.js';

/** What there is, by command; '' has what every command takes. */
export async function offeredOptions(): Promise<Map<string, Options>> {
  const offered = new Map<string, Options>([['', COMMON_OPTIONS]]);
  for (const [name, entry] of Object.entries(COMMANDS)) {
    offered.set(name, (await entry.load()).command.options);
  }
  return offered;
}

/** `<command>`, `<command> --<option>` or `<command> --<option> <choice>`, in order. */
export function untried(lines: readonly string[], offered: ReadonlyMap<string, Options>): string[] {
  const all = lines.map((line) => line.split(' '));
  return [...offered].flatMap(([command, options]) => {
    const own = command === '' ? all : all.filter((words) => words[1] === command);
    if (own.length === 0) return [command];
    const has = (names: readonly string[], choice?: string): boolean =>
      own.some((words) =>
        words.some((word, at) => {
          const [name = '', value] = word.split('=');
          return (
            names.includes(name) && (choice === undefined || (value ?? words[at + 1]) === choice)
          );
        }),
      );
    return Object.entries(options).flatMap(([option, { alias, value }]) => {
      const names = [`--${option}`, ...(alias === undefined ? [] : [`-${alias}`])];
      const title = `${command} --${option}`.trim();
      if (!has(names)) return [title];
      return (value?.choices ?? [])
        .filter((choice) => choice !== value?.default && !has(names, choice))
        .map((choice) => `${title} ${choice}`);
    });
  });
}
