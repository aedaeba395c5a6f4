import type { Rule } from '../problem.js';
import type { WrittenFile } from '../written.js';
import type { ProblemList } from './problem-list.js';
import type { Suggester } from './suggester.js';

/** Everything the files say together. */
export interface CheckContext {
  readonly files: readonly WrittenFile[];
  /** Whether all of every file could be read: only then can it be said that something is not there. */
  readonly complete: boolean;
  readonly problems: ProblemList;
  readonly suggester: Suggester;
}

/** A rule that looks at the sound parts of all files. */
export interface CheckedRule extends Rule {
  check(context: CheckContext): void;
}
