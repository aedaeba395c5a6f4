/**
 * yargs 18 loses a lone `-` and everything after `--` when a command takes a
 * list of names. Such words are marked before it parses and unmarked after; the
 * mark is NUL, which no command-line argument can hold.
 */
const MARK = '\0';

/** The words with `-` and what follows `--` marked as plain operands, and `--` itself gone. */
export function markOperands(argv: readonly string[]): string[] {
  const end = argv.indexOf('--');
  const before = end === -1 ? argv : argv.slice(0, end);
  const after = end === -1 ? [] : argv.slice(end + 1);
  return [
    ...before.map((word) => (word === '-' ? MARK + word : word)),
    ...after.map((word) => MARK + word),
  ];
}

/** Parsed arguments without the marks. */
export function unmarkOperands(
  args: Readonly<Record<string, unknown>>,
): Readonly<Record<string, unknown>> {
  return Object.fromEntries(Object.entries(args).map(([name, value]) => [name, unmark(value)]));
}

function unmark(value: unknown): unknown {
  if (typeof value === 'string') return withoutMarks(value);
  return Array.isArray(value) ? value.map(unmark) : value;
}

/** Text that may quote marked words, as they were written. */
export function withoutMarks(text: string): string {
  // yargs quotes some words as JSON.
  return text.replaceAll(MARK, '').replaceAll('\\u0000', '');
}
