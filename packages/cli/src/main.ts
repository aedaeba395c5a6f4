import type { Command } from './command.js';
import { COMMANDS } from './command-table.js';
import { COMPLETE, completions, namedShell, pretendShell, scriptFor } from './completion.js';
import { processContext, type CommonOptions, type Context } from './context.js';
import { EXIT, type ExitCode } from './exit-code.js';
import { markOperands, unmarkOperands, withoutMarks } from './operands.js';
import { buildParser } from './parser.js';
import { troubleText } from './trouble-text.js';
import { usageError } from './usage-error.js';

type Arguments = Readonly<Record<string, unknown>>;

/** Runs one command line. Never throws, never exits the process: gives the exit code. */
export async function main(argv: readonly string[]): Promise<ExitCode> {
  let context = processContext({ color: undefined, ascii: undefined, quiet: undefined });
  try {
    const parsed = await parse(argv);
    if (typeof parsed === 'string') {
      await context.stdout.write(parsed.endsWith('\n') ? parsed : `${parsed}\n`);
      return EXIT.good;
    }
    context = processContext(parsed.args as unknown as CommonOptions);
    return await parsed.command.run(parsed.args, context);
  } catch (error) {
    return await reportTrouble(error, context);
  }
}

/** The command to run, or the text (help, version, completion) that was asked for instead. */
type Parsed = { readonly command: Command; readonly args: Arguments } | string;

/** Thrown out of yargs, which would lay out the command's help when a handler returns: 4 ms that nobody sees. */
class Chosen extends Error {
  readonly command: Command;
  readonly args: Arguments;

  constructor(command: Command, args: Arguments) {
    super();
    this.command = command;
    this.args = args;
  }
}

async function parse(words: readonly string[]): Promise<Parsed> {
  const shell = namedShell(words);
  if (shell === null) return parseWords(words);
  pretendShell(shell);
  const script = await parseWords(words.filter((word) => word !== shell));
  return typeof script === 'string' ? scriptFor(shell, script) : script;
}

async function parseWords(argv: readonly string[]): Promise<Parsed> {
  const name = argv.find((word) => Object.hasOwn(COMMANDS, word));
  const { parser, positionals } = await buildParser(argv, name, (command, args) => {
    throw new Chosen(command, unmarkOperands(args));
  });
  if (argv[0] === COMPLETE) return completions(parser, argv.slice(1));
  return new Promise<Parsed>((resolve, reject) => {
    void parser
      .fail((message: string | null, error: Error | undefined) => {
        // yargs throws some of its complaints as errors.
        const own = error?.name === 'YError' ? error.message : message;
        const complaint = own === null ? null : withoutMarks(own);
        reject(
          error === undefined || error.name === 'YError'
            ? usageError(complaint, parser, argv, name, positionals)
            : error,
        );
      })
      .parse(markOperands(argv), {}, (_error, _args, output) => {
        resolve(output);
      });
  }).catch((thrown: unknown) => {
    if (thrown instanceof Chosen) return thrown;
    throw thrown;
  });
}

/** One or two lines on stderr; a closed pipe ends quietly. */
async function reportTrouble(error: unknown, context: Context): Promise<ExitCode> {
  if (error instanceof Error && 'code' in error && error.code === 'EPIPE') return EXIT.trouble;
  await context.stderr.write(troubleText(error));
  return EXIT.trouble;
}
