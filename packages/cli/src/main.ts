import { escapeText, FirmtallyError, TOOL } from '@firmtally/core';
import yargs, { type Argv } from 'yargs';
import type { Command } from './command.js';
import { COMMANDS } from './command-table.js';
import { processContext, type CommonOptions, type Context } from './context.js';
import { EXIT, type ExitCode } from './exit-code.js';

const PURPOSE =
  'Tells which systems on a card have the firmware they need, before the card leaves the PC.';

const CAUTIONS = [
  'The wrong firmware can stop a device from starting: keep a backup of the card.',
  'Firmware is usually copyrighted: use dumps you are entitled to and follow local law.',
  'MD5, SHA-1 and CRC32 detect accidents, not tampering.',
].join('\n');

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

async function parse(argv: readonly string[]): Promise<Parsed> {
  const name = argv.find((word) => Object.hasOwn(COMMANDS, word));
  const completing = argv.includes('--get-yargs-completions') || argv.includes('completion');
  const parser = baseParser();
  let chosen: { command: Command; args: Arguments } | null = null;
  for (const [each, entry] of Object.entries(COMMANDS)) {
    // Only the command asked for is loaded; of the others the line in --help is enough.
    if (each !== name && !completing) {
      parser.command(each, entry.describe);
      continue;
    }
    const { command } = await entry.load();
    parser.command(
      `${each} ${command.positionals}`.trim(),
      entry.describe,
      (y) => command.options(y),
      (args) => {
        chosen = { command, args };
      },
    );
  }
  return new Promise((resolve, reject) => {
    void parser
      .fail((message: string | null, error: Error | undefined) => {
        reject(error ?? usageError(message ?? 'The command line is wrong', name));
      })
      .parse([...argv], {}, (_error, _args, output) => {
        resolve(chosen ?? output);
      });
  });
}

function baseParser(): Argv {
  return (
    yargs()
      .scriptName('firmtally')
      .usage(`$0 <command>\n\n${PURPOSE}`)
      .locale('en')
      // Ids and digests are text even where they look like numbers.
      .parserConfiguration({ 'parse-numbers': false, 'parse-positional-numbers': false })
      .option('color', {
        type: 'boolean',
        describe: 'Colour (default on a terminal, unless NO_COLOR is set)',
      })
      .option('ascii', { type: 'boolean', describe: 'Draw with ASCII characters only' })
      .option('quiet', {
        type: 'boolean',
        alias: 'q',
        describe: 'No progress and no messages, only results',
      })
      .version(TOOL.version)
      .help()
      .alias('help', 'h')
      .epilogue(CAUTIONS)
      .wrap(Math.min(100, processContext({ color: false, ascii: true, quiet: true }).columns))
      .demandCommand(1, 1, 'Name a command, e.g.: firmtally audit <root> -m <manifest>')
      .strict()
      .exitProcess(false)
  );
}

function usageError(message: string, command: string | undefined): FirmtallyError {
  return new FirmtallyError(
    'usage',
    // yargs spreads some messages over several lines.
    message.replaceAll(/\s*\n\s*/g, ' '),
    `See: firmtally ${command === undefined ? '' : `${command} `}--help`,
  );
}

/** One or two lines on stderr; a closed pipe ends quietly. */
async function reportTrouble(error: unknown, context: Context): Promise<ExitCode> {
  if (error instanceof Error && 'code' in error && error.code === 'EPIPE') return EXIT.trouble;
  const message = error instanceof Error ? error.message : String(error);
  const lines = [`firmtally: ${escapeText(message)}`];
  if (error instanceof FirmtallyError && error.remedy !== null) {
    lines.push(escapeText(error.remedy));
  }
  // Where stderr is closed too, the exit code alone has to say it.
  await context.stderr.write(`${lines.join('\n')}\n`).catch(() => undefined);
  return EXIT.trouble;
}
