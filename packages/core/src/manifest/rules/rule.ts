import type { Severity } from '../problem.js';
import type { WrittenFile } from '../written.js';
import type { ProblemList } from './problem-list.js';
import type { Suggester } from './suggester.js';

/** What a manifest is held to. docs/rules.md explains each with a wrong and a right example. */
export interface Rule {
  /** Stable, kebab-case; also the anchor in docs/rules.md. */
  readonly id: string;
  readonly severity: Severity;
  /** One plain sentence. */
  readonly description: string;
}

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
