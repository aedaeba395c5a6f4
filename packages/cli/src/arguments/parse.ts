import { nearestName } from '@firmtally/core/internal';
import parser from 'yargs-parser';
import type { Command, Operand, Options } from '../command.js';
import { Arguments, usage } from './arguments.js';
import { COMMON_OPTIONS } from './common-options.js';

/** What a command line may hold. */
export type Grammar = Pick<Command, 'operand' | 'options'>;

/**
 * Parses the words after a command's name and checks them against what the
 * command declares. Throws FirmtallyError('usage').
 *
 * @param name '' when there is no command
 */
export function parseArguments(
  words: readonly string[],
  name: string,
  grammar: Grammar,
): Arguments {
  const options: Options = { ...grammar.options, ...COMMON_OPTIONS };
  const raw = rawArguments(words, options);
  const help = `firmtally ${name === '' ? '' : `${name} `}--help`;
  const see = `See: ${help}`;
  for (const option of raw.given) {
    if (!Object.hasOwn(options, option)) {
      throw usage(
        `there is no option ${dashed(option)}`,
        hint(option, Object.keys(options), help, '--'),
      );
    }
  }
  if (raw.valueless !== null) throw usage(`${dashed(raw.valueless)} needs a value`, see);
  // Asked for with a command line that is not complete yet.
  if (raw.flags.has('help') || raw.flags.has('version')) {
    return new Arguments(raw.operands, raw.values, raw.flags);
  }
  checkOperands(raw.operands, name, grammar, see);
  const missing = [
    ...(grammar.operand?.required === true && raw.operands.length === 0
      ? [shownOperand(grammar.operand)]
      : []),
    ...Object.entries(options)
      .filter(([option, { value }]) => value?.required === true && !raw.values.has(option))
      .map(([option, { alias, value }]) => `${dashed(alias ?? option)} ${value?.name ?? ''}`),
  ];
  if (missing.length > 0) throw usage(`${name} needs ${missing.join(' and ')}`, see);
  const { operand } = grammar;
  for (const value of raw.operands)
    checkValue(value, `<${operand?.name ?? ''}>`, operand?.choices, help);
  for (const [option, { value: declared }] of Object.entries(options)) {
    if (declared === undefined) continue;
    const values = raw.values.get(option) ?? [];
    if (values.length > 1 && declared.many !== true) {
      throw usage(`${dashed(option)} is given more than once`, 'Give it once.');
    }
    for (const value of values) checkValue(value, dashed(option), declared.choices, help);
    if (values.length === 0 && declared.default !== undefined)
      raw.values.set(option, [declared.default]);
  }
  return new Arguments(raw.operands, raw.values, raw.flags);
}

interface RawArguments {
  readonly operands: readonly string[];
  /** Values of each option that takes one. */
  readonly values: Map<string, readonly string[]>;
  readonly flags: ReadonlySet<string>;
  /** Every option on the command line, known or not. */
  readonly given: readonly string[];
  /** An option at which its value is missing. */
  readonly valueless: string | null;
}

function rawArguments(words: readonly string[], options: Options): RawArguments {
  const names = Object.keys(options);
  const valued = names.filter((name) => options[name]?.value !== undefined);
  const { argv, error } = parser.detailed([...words], {
    string: valued,
    boolean: names.filter((name) => !valued.includes(name)),
    alias: Object.fromEntries(names.map((name) => [name, options[name]?.alias ?? []])),
    narg: Object.fromEntries(valued.map((name) => [name, 1])),
    configuration: {
      // Ids and digests are text even where they look like numbers.
      'parse-numbers': false,
      'parse-positional-numbers': false,
      // A dot, a capital, or `no-` in front has no meaning of its own.
      'dot-notation': false,
      'camel-case-expansion': false,
      'boolean-negation': false,
      'strip-aliased': true,
    },
    // The words of the one complaint that yargs-parser has are ours; of its text, only the option's name is of use.
    __: (_text: string, name: string) => name,
  } as parser.Options & { __: (text: string, name: string) => string });
  const { _: operands, ...given } = argv;
  const values = new Map<string, readonly string[]>();
  const flags = new Set<string>();
  for (const [name, value] of Object.entries(given) as [string, unknown][]) {
    if (valued.includes(name)) values.set(name, [value].flat().map(String));
    else if (value === true) flags.add(name);
  }
  return {
    operands: operands.map(String),
    values,
    flags,
    given: Object.keys(given),
    valueless: error?.message ?? null,
  };
}

function checkOperands(
  operands: readonly string[],
  name: string,
  { operand }: Grammar,
  see: string,
): void {
  const most = operand === null ? 0 : operand.many ? Infinity : 1;
  const extra = operands[most];
  if (name !== '' && extra !== undefined) throw usage(`"${extra}" is one word too many`, see);
}

function checkValue(
  value: string,
  shown: string,
  choices: readonly string[] | undefined,
  help: string,
): void {
  if (choices !== undefined && !choices.includes(value)) {
    throw usage(
      `${shown} "${value}" is not one of: ${choices.join(', ')}`,
      hint(value, choices, help),
    );
  }
  if (value === '') throw usage(`${shown} is empty`, `See: ${help}`);
}

/** `<name>`, `[name..]`: a command's operand as its usage shows it. */
export function shownOperand({ name, required, many }: Operand): string {
  const text = `${name}${many ? '..' : ''}`;
  return required ? `<${text}>` : `[${text}]`;
}

function dashed(name: string): string {
  return `${name.length === 1 ? '-' : '--'}${name}`;
}

/** The nearest right name, and where to read more. */
export function hint(word: string, names: readonly string[], help: string, prefix = ''): string {
  const nearest = word.length < 2 ? null : nearestName(word, names);
  return nearest === null ? `See: ${help}` : `Did you mean ${prefix}${nearest}? See also: ${help}`;
}
