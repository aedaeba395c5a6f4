import { CAUTIONS, TOOL } from '@firmtally/core';
import yargs, { type Argv } from 'yargs';
import type { Command } from './command.js';
import { COMMANDS } from './command-table.js';
import { processContext } from './context.js';

const PURPOSE =
  'Tells which systems on a card have the firmware they need, before the card leaves the PC.';

interface BuiltParser {
  readonly parser: Argv;
  /** Operands of the wanted command, as its usage shows them; '' without one. */
  readonly positionals: string;
}

/** The parser for one command line; of all commands but `wanted` it knows the name only. */
export async function buildParser(
  argv: readonly string[],
  wanted: string | undefined,
  onChosen: (command: Command, args: Readonly<Record<string, unknown>>) => void,
): Promise<BuiltParser> {
  const parser = baseParser(argv);
  let positionals = '';
  for (const [name, entry] of Object.entries(COMMANDS)) {
    if (name !== wanted) {
      parser.command(name, entry.describe);
      continue;
    }
    const { command } = await entry.load();
    ({ positionals } = command);
    parser.command(
      `${name} ${positionals}`.trim(),
      entry.describe,
      (y) => command.options(y),
      (args) => {
        onChosen(command, args);
      },
    );
  }
  return { parser, positionals };
}

function baseParser(argv: readonly string[]): Argv {
  return (
    // The second argument is where yargs looks for settings of its own: never in the user's folder.
    yargs([...argv], import.meta.dirname)
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
      .completion('completion', 'Print a completion script: completion bash, completion zsh')
      .version(TOOL.version)
      .help()
      .alias('help', 'h')
      .epilogue(CAUTIONS.join('\n'))
      .wrap(Math.min(100, processContext({ color: false, ascii: true, quiet: true }).columns))
      .demandCommand(1, 1, 'Name a command, e.g.: firmtally audit <root> -m <manifest>')
      .strict()
      .exitProcess(false)
  );
}
