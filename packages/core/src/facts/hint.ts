/** How many files lie where they are expected, in the folder that was given and in another. */
interface ThereNow {
  /** Expected paths that would be there. */
  readonly there: number;
  /** Expected paths that are there now. */
  readonly now: number;
  /** Expected paths in all. */
  readonly expected: number;
}

/** What may explain that much is wrong at once, by code. */
export interface HintValues {
  /** There is no file in the root. */
  readonly 'empty-root': object;
  /** The root lies inside the folder that the manifest means; `try` leads up from it: `..`, `../..`. */
  readonly 'root-too-deep': ThereNow & { readonly try: string };
  /** The folder that the manifest means lies inside the root; `try` is its path there. */
  readonly 'root-too-high': ThereNow & { readonly try: string };
  /** The files lie where another loadout expects its own; `expected` and `there` count that one's paths. */
  readonly 'other-loadout': ThereNow & {
    readonly loadout: string;
    readonly name: string | null;
  };
}

/** Stable codes of hints. */
export type HintCode = keyof HintValues;

/** A hint: its code, its values, and a plain English sentence made from them. */
export type Hint<Code extends HintCode = HintCode> = {
  [Each in Code]: { readonly code: Each; readonly text: string } & HintValues[Each];
}[Code];

/** The sentence for each hint. Nothing is escaped here, and no command or option is named. */
const HINT_WORDS: { readonly [Code in HintCode]: (values: HintValues[Code]) => string } = {
  'empty-root': () =>
    'There is no file in this folder: is it the right one, and is the card in its reader?',
  'root-too-deep': (values) =>
    `This folder seems to lie inside the right one: in ${inOther(values)}`,
  'root-too-high': (values) =>
    `The right folder seems to lie inside this one: in ${inOther(values)}`,
  'other-loadout': ({ loadout, name, there, now, expected }) =>
    `This looks like a card for ${name === null ? '' : `${name}, `}loadout ${loadout}: ` +
    `${String(there)} of the ${files(expected)} that it expects ${isOrAre(there)} in place, ` +
    `and ${String(now)} of those asked for.`,
};

function inOther(values: ThereNow & { readonly try: string }): string {
  const { there, now, expected } = values;
  return `"${values.try}" ${String(there)} of ${files(expected)} would be in place, here ${String(now)} ${isOrAre(now)}.`;
}

function isOrAre(number: number): string {
  return number === 1 ? 'is' : 'are';
}

function files(number: number): string {
  return number === 1 ? '1 file' : `${String(number)} files`;
}

/** Makes a hint; its text follows from its values. */
export function hint<Code extends HintCode>(code: Code, values: HintValues[Code]): Hint<Code> {
  const made = { code, text: HINT_WORDS[code](values), ...values };
  // The compiler cannot see that a union over codes is met one code at a time.
  return made as unknown as Hint<Code>;
}
