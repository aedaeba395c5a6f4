import { escapeText } from '@firmtally/core';
import { COMMON_OPTIONS } from '../arguments/common-options.js';
import type { Command, Options } from '../command.js';
import { COMMANDS } from '../command-table.js';
import type { Context } from '../context.js';
import { EXIT, type ExitCode } from '../exit-code.js';
import { idsIn, type IdKind, type Offer } from './ids.js';

/** Gives the ids of the manifests that the words typed so far name, or that lie about. */
type FindIds = (kind: IdKind, typed: readonly string[]) => Promise<readonly Offer[]>;

/**
 * Prints what may follow, one a line.
 *
 * @param words the shell's name, `firmtally` as it was typed, and the words after it, the last of them unfinished
 */
export async function printCompletions(
  [shell, , ...typed]: readonly string[],
  context: Context,
): Promise<ExitCode> {
  const offers = await complete(typed, (kind, words) => idsIn(kind, words, context));
  const lines = offers.map(({ word, describe }) =>
    // zsh takes what follows the first plain colon as the description.
    shell === 'zsh' && describe !== undefined
      ? `${word.replaceAll(':', '\\:')}:${escapeText(describe)}`
      : word,
  );
  if (lines.length > 0) await context.stdout.write(`${lines.join('\n')}\n`);
  return EXIT.good;
}

/** Nothing where a file name is to follow: shells complete those by themselves. */
async function complete(typed: readonly string[], findIds: FindIds): Promise<Offer[]> {
  const [before, current] = splitAssignment(typed);
  const at = before.findIndex((word) => !word.startsWith('-'));
  const name = before[at];
  if (name === undefined) {
    return matching(current.startsWith('-') ? optionOffers({}, current) : commandOffers(), current);
  }
  if (name === 'help') return matching(commandOffers(), current);
  if (!Object.hasOwn(COMMANDS, name)) return [];
  const entry = COMMANDS[name];
  if (entry === undefined) return [];
  const { command } = await entry.load();
  return matching(await offersFor(command, before, current, findIds), current);
}

async function offersFor(
  { operand, options }: Command,
  before: readonly string[],
  current: string,
  findIds: FindIds,
): Promise<readonly Offer[]> {
  const all: Options = { ...options, ...COMMON_OPTIONS };
  const last = before.at(-1) ?? '';
  const wanting = Object.entries(all).find(
    ([name, { alias }]) => last === `--${name}` || (alias !== undefined && last === `-${alias}`),
  )?.[1].value;
  if (wanting?.choices !== undefined) return wanting.choices.map((word) => ({ word }));
  if (wanting?.ids !== undefined) {
    // What stands before the last comma is there already.
    const done = current.slice(0, current.lastIndexOf(',') + 1);
    const offers = await findIds(wanting.ids, before);
    return offers.map((offer) => ({ ...offer, word: done + offer.word }));
  }
  if (wanting !== undefined) return [];
  if (current.startsWith('-')) return optionOffers(options, current);
  return (operand?.choices ?? []).map((word) => ({ word }));
}

/** `--format=js`, whether the shell keeps it as one word or makes three of it. */
function splitAssignment(typed: readonly string[]): [before: readonly string[], current: string] {
  const words = typed.flatMap((word) => {
    const [, option, value] = /^(--[^=]+)=(.*)$/s.exec(word) ?? [];
    return option === undefined || value === undefined ? [word] : [option, value];
  });
  const current = words.at(-1) === '=' ? '' : (words.at(-1) ?? '');
  const before = words.slice(0, -1).filter((word) => word !== '=');
  return [before, current];
}

function commandOffers(): Offer[] {
  return [
    ...Object.entries(COMMANDS).map(([word, { describe }]) => ({ word, describe })),
    { word: 'help', describe: 'Show the help of a command' },
  ];
}

/** Short ones only after a single dash. */
function optionOffers(options: Options, current: string): Offer[] {
  return Object.entries({ ...options, ...COMMON_OPTIONS } as Options).flatMap(
    ([name, { alias, describe }]) => [
      { word: `--${name}`, describe },
      ...(alias === undefined || current !== '-' ? [] : [{ word: `-${alias}`, describe }]),
    ],
  );
}

function matching(offers: readonly Offer[], current: string): Offer[] {
  return offers.filter(({ word }) => word.startsWith(current));
}
