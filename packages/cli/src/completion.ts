import { FirmtallyError } from '@firmtally/core';
import type { Argv, FallbackCompletionFunction } from 'yargs';

/** What the script of `firmtally completion` calls with the words typed so far. */
export const COMPLETE = '--get-yargs-completions';

const COMMAND = 'completion';
const SHELLS: readonly string[] = ['bash', 'zsh'];

/**
 * The shell that `completion <shell>` names; null when the command line is
 * another, or leaves it to the environment. Throws FirmtallyError for a shell
 * there is no script for.
 */
export function namedShell(argv: readonly string[]): string | null {
  const [command, shell, extra] = argv.filter((word) => !word.startsWith('-'));
  if (command !== COMMAND || shell === undefined) return null;
  if (!SHELLS.includes(shell)) {
    const remedy = `There is one for: ${SHELLS.join(', ')}`;
    throw new FirmtallyError('usage', `there is no completion script for "${shell}"`, remedy);
  }
  if (extra !== undefined) {
    throw new FirmtallyError(
      'usage',
      `"${extra}" is one word too many`,
      'See: firmtally completion --help',
    );
  }
  return shell;
}

/** yargs goes by these two variables, and looks at them when a parser is made. */
export function pretendShell(shell: string): void {
  process.env['SHELL'] = shell;
  delete process.env['ZSH_NAME'];
}

/** A script whose calls say which shell asks, as that may be another than the login shell. */
export function scriptFor(shell: string, script: string): string {
  return script.replaceAll(
    `firmtally ${COMPLETE}`,
    `SHELL=${shell} ZSH_NAME= firmtally ${COMPLETE}`,
  );
}

/** What may follow, one a line. Options are offered only once a dash is typed, so that file names complete everywhere else. */
export async function completions(parser: Argv, words: readonly string[]): Promise<string> {
  const dashed = words.at(-1)?.startsWith('-') ?? false;
  if (words[1] === COMMAND && !dashed) return SHELLS.join('\n');
  const found = await offered(parser, words);
  return found
    .filter((each) => dashed || !each.startsWith('-'))
    .filter((each) => !SHORT_AS_LONG.test(each))
    .flatMap((each) => (COLOR.test(each) ? [each, noColor(each)] : [each]))
    .join('\n');
}

/**
 * What yargs offers. After a command's name it parses once more, prints what it
 * finds there itself and never settles `getCompletion`, so what it finds is
 * taken where both ways pass, and none of it is left to print.
 */
function offered(parser: Argv, words: readonly string[]): Promise<readonly string[]> {
  return new Promise((resolve, reject) => {
    const take: FallbackCompletionFunction = (_current, _argv, find, done) => {
      find((error, found) => {
        if (error === null) resolve(found ?? []);
        else reject(error);
        done([]);
      });
    };
    parser.completion(COMMAND, false, take);
    parser.getCompletion([...words]).catch(reject);
  });
}

/** `--q`: yargs puts two dashes before one letter when two are typed. A description may follow `:` (zsh) or a tab. */
const SHORT_AS_LONG = /^--[^-](?:[:\t]|$)/;

const COLOR = /^--color(?:[:\t]|$)/;

/** yargs offers the negation only of what is on by default. */
function noColor(color: string): string {
  const separator = color.charAt('--color'.length);
  return `--no-color${separator === '' ? '' : `${separator}No colour`}`;
}
