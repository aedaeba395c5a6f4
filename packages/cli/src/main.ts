import { escapeText, FirmtallyError, TOOL } from '@firmtally/core';
import yargs, { type Argv } from 'yargs';
import type { Command } from './command.js';
import { COMMANDS } from './command-table.js';
import { processContext, type CommonOptions, type Context } from './context.js';
import { EXIT, type ExitCode } from './exit-code.js';

const CAUTIONS = [
  'The wrong firmware can stop a device from starting: keep a backup of the card.',
  'Firmware is usually copyrighted: use dumps you are entitled to and follow local law.',
  'MD5, SHA-1 and CRC32 detect accidents, not tampering.',
].join('\n');

/** Runs one command line. Never throws, never exits the process: gives the exit code. */
export async function main(argv: readonly string[]): Promise<ExitCode> {
  let context = processContext({ color: undefined, ascii: undefined, quiet: undefined });
  try {
    const wanted = argv.find((word) => Object.hasOwn(COMMANDS, word));
    const parser = await buildParser(argv, wanted);
    let chosen: { command: Command; args: Record<string, unknown> } | null = null;
    parser.onChosen((command, args) => (chosen = { command, args }));
    const text = await parser.parse(argv);
    if (text !== '') {
      await context.stdout.write(text.endsWith('\n') ? text : `${text}\n`);
      return EXIT.good;
    }
    if (chosen === null) return EXIT.good;
    const { command, args } = chosen as { command: Command; args: Record<string, unknown> };
    context = processContext(args as unknown as CommonOptions);
    return await command.run(args, context);
  } catch (error) {
    return await reportTrouble(error, context);
  }
}

interface Parser {
  onChosen(listener: (command: Command, args: Record<string, unknown>) => void): void;
  /** Help or version text that was asked for, else ''. */
  parse(argv: readonly string[]): Promise<string>;
}

async function buildParser(argv: readonly string[], wanted: string | undefined): Promise<Parser> {
  let listener: (command: Command, args: Record<string, unknown>) => void = () => undefined;
  const parser: Argv = yargs()
    .scriptName('firmtally')
    .usage(
      '$0 <command>\n\nTells which systems on a card have the firmware they need, before the card leaves the PC.',
    )
    .locale('en')
    .parserConfiguration({ 'parse-numbers': false, 'parse-positional-numbers': false })
    .option('color', {
      type: 'boolean',
      describe: 'Colour (also: NO_COLOR); --no-color turns it off',
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
    .exitProcess(false);
  for (const [name, entry] of Object.entries(COMMANDS)) {
    // Only the command asked for is loaded; of the others the line in --help is enough.
    if (name !== wanted) {
      parser.command(name, entry.describe, (y) => y);
      continue;
    }
    const { command } = await entry.load();
    parser.command(
      `${name} ${command.positionals}`,
      entry.describe,
      (y) => command.options(y),
      (args) => listener(command, args as Record<string, unknown>),
    );
  }
  return {
    onChosen: (given) => (listener = given),
    parse: (words) =>
      new Promise((resolve, reject) => {
        parser
          .fail((message, error) => {
            reject(error instanceof Error ? error : usageError(message, wanted));
          })
          .parse([...words], {}, (_error, _args, output) => {
            resolve(output);
          });
      }),
  };
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
  if ((error as NodeJS.ErrnoException).code === 'EPIPE') return EXIT.trouble;
  const message = error instanceof Error ? error.message : String(error);
  const remedy = error instanceof FirmtallyError ? error.remedy : null;
  const lines = [
    `firmtally: ${escapeText(message)}`,
    ...(remedy === null ? [] : [escapeText(remedy)]),
  ];
  await context.stderr.write(`${lines.join('\n')}\n`).catch(() => undefined);
  return EXIT.trouble;
}
