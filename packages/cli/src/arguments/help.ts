import { CAUTIONS } from '@firmtally/core';
import yargs, { type Argv } from 'yargs';
import type { Command, Option, Options } from '../command.js';
import { COMMANDS } from '../command-table.js';
import { COMMON_OPTIONS } from './common-options.js';
import { shownOperand } from './parse.js';

const PURPOSE =
  'Tells which systems on a card have the firmware they need, before the card leaves the PC.';

/** What `firmtally --help` prints. */
export function generalHelp(columns: number): Promise<string> {
  const help = blank('firmtally', columns).usage(`$0 <command>\n\n${PURPOSE}`);
  for (const [name, { describe }] of Object.entries(COMMANDS)) help.command(name, describe);
  help.command('help', 'Show the help of a command');
  return help.options(declared(COMMON_OPTIONS, 'Options:')).epilogue(CAUTIONS.join('\n')).getHelp();
}

/** What `firmtally <command> --help` prints. */
export function commandHelp(name: string, command: Command, columns: number): Promise<string> {
  const { operand, options, examples, epilogue } = command;
  const shown = operand === null ? '' : ` ${shownOperand(operand)}`;
  return blank(`firmtally ${name}`, columns)
    .command(`$0${shown}`, COMMANDS[name]?.describe ?? '', (y) => {
      if (operand !== null) {
        const { describe, choices } = operand;
        y.positional(operand.name, { describe, ...(choices && { choices }) });
      }
      // Groups stand in the order in which they are made.
      y.options(declared(options, 'Options:')).options(declared(COMMON_OPTIONS, 'Common options:'));
      for (const [line, purpose] of examples) y.example(line, purpose);
      return y.epilogue([...(epilogue ?? []), ...CAUTIONS].join('\n'));
    })
    .getHelp();
}

/** The second argument of `yargs` is where it looks for settings of its own: never in the user's folder. */
function blank(scriptName: string, columns: number): Argv {
  return (
    yargs([], import.meta.dirname)
      .scriptName(scriptName)
      .locale('en')
      .wrap(Math.min(100, columns))
      // Both are options like any other here.
      .version(false)
      .help(false)
      .exitProcess(false)
  );
}

function declared(options: Options, group: string): Parameters<Argv['options']>[0] {
  return Object.fromEntries(
    Object.entries(options).map(([name, { describe, alias, value }]: [string, Option]) => [
      name,
      {
        describe,
        group,
        ...(value === undefined ? {} : { type: 'string' }),
        ...(alias === undefined ? {} : { alias }),
        ...(value?.choices === undefined ? {} : { choices: value.choices }),
        ...(value?.default === undefined ? {} : { default: value.default }),
        ...(value?.required === true ? { demandOption: true } : {}),
      },
    ]),
  );
}
