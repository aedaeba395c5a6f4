import { TOOL } from '@firmtally/core';
import type { Arguments } from './arguments/arguments.js';
import { hint, parseArguments, type Grammar } from './arguments/parse.js';
import { usage } from './arguments/arguments.js';
import type { Run } from './command.js';
import { COMMANDS } from './command-table.js';
import { processContext, type Context } from './context.js';
import { EXIT, type ExitCode } from './exit-code.js';
import { endWhenInterrupted } from './interruption.js';
import { troubleText } from './trouble-text.js';

/** What the script that `firmtally completion` prints calls, with the shell's name and the words typed so far. */
const COMPLETE = '--complete';

/** Runs one command line. Never throws, never exits the process: gives the exit code. */
export async function main(argv: readonly string[]): Promise<ExitCode> {
  let context = processContext(null);
  try {
    if (argv[0] === COMPLETE) {
      const { printCompletions } = await import('./completion/complete.js');
      return await printCompletions(argv.slice(1), context);
    }
    const { given, run } = await understand(argv);
    context = processContext(given);
    endWhenInterrupted(context);
    const code = await run(context);
    await context.stdout.finish();
    return code;
  } catch (error) {
    return await reportTrouble(error, context);
  }
}

/** Raw words to what is to be run, checked. Throws FirmtallyError('usage'). */
async function understand(argv: readonly string[]): Promise<{ given: Arguments; run: Run }> {
  const words = helpAsOption(argv);
  const at = commandIndex(words);
  const name = words[at];
  if (name === undefined) {
    const given = parseArguments(words, '', NO_COMMAND);
    return { given, run: (context) => generalAnswer(given, context) };
  }
  const entry = Object.hasOwn(COMMANDS, name) ? COMMANDS[name] : undefined;
  if (entry === undefined) {
    throw usage(
      `there is no command "${name}"`,
      hint(name, Object.keys(COMMANDS), 'firmtally --help'),
    );
  }
  const { command } = await entry.load();
  const given = parseArguments(words.toSpliced(at, 1), name, command);
  if (given.flag('version')) return { given, run: printVersion };
  if (!given.flag('help')) {
    const meant = command.operand?.files === true ? await withFiles(given) : given;
    return { given, run: command.prepare(meant) };
  }
  return {
    given,
    run: async (context) => {
      const { commandHelp } = await import('./arguments/help.js');
      await context.stdout.write(`${await commandHelp(name, command, context.columns)}\n`);
      return EXIT.good;
    },
  };
}

const NO_COMMAND: Grammar = { operand: null, options: {} };

/** `help audit` is `audit --help`, and `help` alone `--help`. */
function helpAsOption(argv: readonly string[]): readonly string[] {
  const at = commandIndex(argv);
  return argv[at] === 'help' ? [...argv.toSpliced(at, 1), '--help'] : argv;
}

/** Operands that are patterns, replaced by the files they stand for. */
async function withFiles(given: Arguments): Promise<Arguments> {
  if (!given.operands.some((operand) => /[*?]/.test(operand))) return given;
  const { expandPatterns } = await import('./arguments/expand-patterns.js');
  return given.withOperands(await expandPatterns(given.operands));
}

/** The first word that is neither an option nor the value of one; after the last word when there is none. */
function commandIndex(words: readonly string[]): number {
  const at = words.findIndex(
    (word, index) => !word.startsWith('-') && !/^(?:-o|--output)$/.test(words[index - 1] ?? ''),
  );
  return at === -1 ? words.length : at;
}

async function generalAnswer(given: Arguments, context: Context): Promise<ExitCode> {
  if (given.flag('version')) return printVersion(context);
  if (!given.flag('help')) {
    throw usage(
      'Name a command, for example: firmtally audit <root> -m <manifest>',
      'See: firmtally --help',
    );
  }
  const { generalHelp } = await import('./arguments/help.js');
  await context.stdout.write(`${await generalHelp(context.columns)}\n`);
  return EXIT.good;
}

async function printVersion(context: Context): Promise<ExitCode> {
  await context.stdout.write(`${TOOL.version}\n`);
  return EXIT.good;
}

/** One or two lines on stderr; a closed pipe ends quietly. */
async function reportTrouble(error: unknown, context: Context): Promise<ExitCode> {
  if (error instanceof Error && 'code' in error && error.code === 'EPIPE') return EXIT.trouble;
  await context.stderr.write(troubleText(error));
  return EXIT.trouble;
}
