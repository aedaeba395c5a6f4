/** How many files lie where they are expected, in the folder that was given and in another. */
export interface ThereNow {
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
    `This may not be the card's own folder but one inside it: ${counted(values)} if it were ${values.try}.`,
  'root-too-high': (values) =>
    `This may not be the card's own folder: ${counted(values)} if it were ${values.try}, a folder in it.`,
  'other-loadout': ({ loadout, name, there, now, expected }) =>
    `This card looks like that of ${name === null ? 'the loadout' : `${name}, the loadout`} ${loadout}: ` +
    `${String(there)} of the ${files(expected)} it expects ${there === 1 ? 'is' : 'are'} in place there, ` +
    `and ${String(now)} of those that were asked for.`,
};

function counted({ there, now, expected }: ThereNow): string {
  return `${String(there)} of ${files(expected)} would be in place, not ${String(now)},`;
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
