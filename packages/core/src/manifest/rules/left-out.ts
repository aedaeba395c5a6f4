import { MAX_PROBLEMS } from '../limits.js';
import type { Problem, Severity } from '../problem.js';
import { ProblemList } from './rule.js';
import { tooManyProblems } from './too-many-problems.js';

/** For each severity of which problems were left out, one that says so. */
export function leftOutProblems(problems: ProblemList): readonly Problem[] {
  const closing = new ProblemList();
  for (const severity of ['error', 'warning'] satisfies Severity[]) {
    const spot = problems.firstLeftOut(severity);
    if (spot === null) continue;
    closing.add({ ...tooManyProblems, severity }, spot, {
      message: `There are more than ${MAX_PROBLEMS} ${severity}s; from here on they are not listed.`,
      advice: 'correct those listed first, and check again',
    });
  }
  return closing.all;
}
