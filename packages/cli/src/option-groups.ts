import type { Argv } from 'yargs';

/** Options that every command takes; the parser declares them. */
const COMMON = ['color', 'ascii', 'quiet', 'version', 'help'];

/** Names of everything declared so far: options, their aliases, positionals. */
export function optionNames(yargs: Argv): string[] {
  // Part of yargs since version 3, but not of its types.
  const { getOptions } = yargs as unknown as {
    getOptions: () => { key: Readonly<Record<string, unknown>> };
  };
  return Object.keys(getOptions.call(yargs).key);
}

/** Has `--help` list a command's own options, all declared so far, before the common ones. */
export function ownOptionsFirst(yargs: Argv): Argv {
  // As getOptions, not of its types.
  const { getGroups } = yargs as unknown as {
    getGroups: () => Readonly<Record<string, readonly string[]>>;
  };
  const grouped = new Set([...COMMON, ...Object.values(getGroups.call(yargs)).flat()]);
  // Names of one letter are aliases, and shown with what they stand for.
  const own = optionNames(yargs).filter((name) => name.length > 1 && !grouped.has(name));
  // Groups stand in the order in which they are made; the unnamed rest would come last.
  return (own.length === 0 ? yargs : yargs.group(own, 'Options:')).group(COMMON, 'Common options:');
}
