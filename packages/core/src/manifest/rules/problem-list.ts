import { MAX_PROBLEMS } from '../limits.js';
import { spotLocation, type Spot } from '../parse/source-text.js';
import type { Problem, RelatedLocation, Rule, Severity } from '../problem.js';

export interface Finding {
  readonly message: string;
  /** What to write instead. */
  readonly suggestion?: string | null;
  /** What to do, when it is not simply something else to write. */
  readonly advice?: string | null;
  readonly related?: readonly { readonly message: string; readonly spot: Spot }[];
}

/** Collects problems, MAX_PROBLEMS of each severity; text is made from them later. */
export class ProblemList {
  readonly #problems: Problem[] = [];
  readonly #counts: Record<Severity, number> = { error: 0, warning: 0 };
  readonly #firstLeftOut: Partial<Record<Severity, Spot>> = {};

  add(rule: Rule, spot: Spot, finding: Finding): void {
    if (this.#counts[rule.severity] === MAX_PROBLEMS) {
      this.leaveOut(rule.severity, spot);
      return;
    }
    this.#counts[rule.severity]++;
    this.#keep(rule, spot, finding);
  }

  get all(): readonly Problem[] {
    return this.#problems;
  }

  /** Says that problems from here on are not kept. */
  leaveOut(severity: Severity, spot: Spot): void {
    this.#firstLeftOut[severity] ??= spot;
  }

  /** Whether no more are kept, so that making one is in vain. */
  isFull(severity: Severity): boolean {
    return this.#firstLeftOut[severity] !== undefined;
  }

  /** The place of the first problem of a severity that was not kept; null when all were. */
  firstLeftOut(severity: Severity): Spot | null {
    return this.#firstLeftOut[severity] ?? null;
  }

  #keep(rule: Rule, spot: Spot, finding: Finding): void {
    this.#problems.push({
      rule: rule.id,
      severity: rule.severity,
      message: shorten(finding.message),
      ...spotLocation(spot),
      pointer: spot.pointer,
      suggestion: isShort(finding.suggestion) ? finding.suggestion : null,
      advice: finding.advice ?? null,
      related: (finding.related ?? []).map(related),
    });
  }
}

/** UTF-16 units of a message that are kept at its start and end: what a manifest holds may be megabytes long. */
const HEAD = 240;
const TAIL = 120;

function shorten(message: string): string {
  if (message.length <= HEAD + TAIL) return message;
  const head = message.slice(0, HEAD).replace(/[\ud800-\udbff]$/, '');
  return `${head}…${message.slice(-TAIL).replace(/^[\udc00-\udfff]/, '')}`;
}

function isShort(suggestion: string | null | undefined): suggestion is string {
  return typeof suggestion === 'string' && suggestion.length <= HEAD;
}

function related({ message, spot }: { message: string; spot: Spot }): RelatedLocation {
  return { message, file: spot.source.path, ...spot.source.position(spot.range.start) };
}

export const tooManyProblems: Rule = {
  id: 'too-many-problems',
  severity: 'error',
  description: 'All problems are listed, up to 10000 errors and 10000 warnings in one run.',
};

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
