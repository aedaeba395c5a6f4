import { FirmtallyError, nearestName } from '@firmtally/core';
import type { Argv } from 'yargs';
import { COMMANDS } from './command-table.js';
import { optionNames } from './option-groups.js';

/** yargs' complaint as one plain line, with the nearest right name and where to read more. */
export function usageError(
  complaint: string | null,
  parser: Argv,
  argv: readonly string[],
  command: string | undefined,
  positionals: string,
): FirmtallyError {
  const help = `firmtally ${command === undefined ? '' : `${command} `}--help`;
  if (command === undefined) {
    const word = argv.find((each) => !each.startsWith('-'));
    if (word !== undefined) {
      return new FirmtallyError(
        'usage',
        `there is no command "${word}"`,
        hint(word, Object.keys(COMMANDS), help),
      );
    }
  }
  // yargs spreads some messages over several lines.
  const message = (complaint ?? 'the command line is wrong').replaceAll(/\s*\n\s*/g, ' ').trim();
  const known = optionNames(parser);
  const option = unknownOption(argv, known);
  // yargs keeps positionals among the options; nobody means one by a dash.
  const named = Array.from(positionals.matchAll(/[\w-]+/g), ([word]) => word);
  if (option !== null) {
    const dashes = option.length === 1 ? '-' : '--';
    return new FirmtallyError(
      'usage',
      `there is no option ${dashes}${option}`,
      hint(
        option,
        known.filter((name) => !named.includes(name)),
        help,
        '--',
      ),
    );
  }
  const missing = /^Missing required arguments?: (.+)/.exec(complaint ?? '')?.[1];
  if (missing !== undefined) {
    const needed = missing.split(', ').map((name) => SHOWN[name] ?? `--${name}`);
    return new FirmtallyError(
      'usage',
      `${command ?? ''} needs ${needed.join(' and ')}`,
      `See: ${help}`,
    );
  }
  const valueless = /^Not enough arguments following: (.+)/.exec(complaint ?? '')?.[1];
  if (valueless !== undefined) {
    const dashes = valueless.length === 1 ? '-' : '--';
    return new FirmtallyError('usage', `${dashes}${valueless} needs a value`, `See: ${help}`);
  }
  const extra = /^Unknown arguments?: ([^,]+)/.exec(message)?.[1];
  if (extra !== undefined) {
    return new FirmtallyError('usage', `"${extra}" is one word too many`, `See: ${help}`);
  }
  if (message.startsWith('Not enough non-option arguments')) {
    return new FirmtallyError('usage', `${command ?? ''} needs ${positionals}`, `See: ${help}`);
  }
  const [, name, given, choices] =
    /^Invalid values: Argument: ([^,]+), Given: "(.*)", Choices: (.+)$/.exec(message) ?? [];
  if (name !== undefined && given !== undefined && choices !== undefined) {
    const right = choices.replaceAll('"', '');
    return new FirmtallyError(
      'usage',
      `${name} "${given}" is not one of: ${right}`,
      hint(given, right.split(', '), help),
    );
  }
  return new FirmtallyError('usage', message, `See: ${help}`);
}

/** How options that have to be given are written. */
const SHOWN: Readonly<Record<string, string>> = {
  manifest: '-m <manifest>',
  onto: '--onto <folder>',
};

/** The first option on the command line that does not exist, without its dashes. */
function unknownOption(argv: readonly string[], known: readonly string[]): string | null {
  for (const word of argv) {
    if (word === '--') return null;
    const [, dashes, name] = /^(--?)(?:no-)?([^-=][^=]*)/.exec(word) ?? [];
    if (name === undefined) continue;
    const option = dashes === '-' ? name.slice(0, 1) : name;
    if (!known.includes(option)) return option;
  }
  return null;
}

function hint(word: string, names: readonly string[], help: string, prefix = ''): string {
  const nearest = word.length < 2 ? null : nearestName(word, names);
  return nearest === null ? `See: ${help}` : `Did you mean ${prefix}${nearest}? See also: ${help}`;
}
