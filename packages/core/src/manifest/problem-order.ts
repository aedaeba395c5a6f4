import { compareUtf8 } from '../text/order.js';
import type { Problem } from './problem.js';

/** By file in the order given, line, column and rule; what is said twice of one place is kept once. */
export function sortProblems(problems: readonly Problem[], files: readonly string[]): Problem[] {
  const rank = new Map<string, number>();
  for (const [index, file] of files.entries()) if (!rank.has(file)) rank.set(file, index);
  const rankOf = (file: string): number => rank.get(file) ?? files.length;
  const seen = new Set<string>();
  return problems
    .filter(({ rule, file, line, column, message }) => {
      const key = JSON.stringify([rule, file, line, column, message]);
      if (seen.has(key)) return false;
      seen.add(key);
      return true;
    })
    .sort(
      (a, b) =>
        rankOf(a.file) - rankOf(b.file) ||
        a.line - b.line ||
        a.column - b.column ||
        compareUtf8(a.rule, b.rule) ||
        compareUtf8(a.message, b.message),
    );
}
