import { escapeText } from '../../text/escape.js';
import { decodeText } from '../parse/decode.js';
import { SourceText } from '../parse/source-text.js';
import type { Problem, Severity } from '../problem.js';
import { problemFrame, type ProblemFrame } from './frame.js';

/** What there is to say of one problem, worded and escaped; how it is laid out is for whoever shows it. */
export interface ProblemView {
  /** `file:line:column`. */
  readonly location: string;
  /** As it was named; the one thing here that is not escaped. */
  readonly file: string;
  /** From 1. */
  readonly line: number;
  readonly severity: Severity;
  readonly message: string;
  readonly rule: string;
  /** Null when the file is not at hand, or empty. */
  readonly frame: ProblemFrame | null;
  readonly notes: readonly ProblemNote[];
}

/** What helps: where else to look, what to write instead, what to do. */
interface ProblemNote {
  readonly kind: 'related' | 'suggestion' | 'advice';
  /** `the first one is here:`, `did you mean`; '' before an advice, which is a sentence of its own. */
  readonly lead: string;
  readonly text: string;
  /** After the text. */
  readonly end: string;
}

/** Problems as they are shown, escaped and bounded in number. */
export interface ProblemsView {
  /** In the order given: the first 200, errors before warnings. */
  readonly problems: readonly ProblemView[];
  /** How many more there are. */
  readonly more: number;
}

/** Manifests by path, for frames: as text, or as the bytes that were read. */
export type ProblemSources = ReadonlyMap<string, string | Uint8Array>;

export function viewProblems(problems: readonly Problem[], sources: ProblemSources): ProblemsView {
  const texts = new Map<string, SourceText | null>();
  const sourceOf = (path: string): SourceText | null => {
    const known = texts.get(path);
    if (known !== undefined) return known;
    const source = sources.get(path);
    const text =
      source === undefined
        ? null
        : new SourceText(path, typeof source === 'string' ? source : decodeText(source));
    texts.set(path, text);
    return text;
  };
  const shown = choose(problems);
  return {
    problems: shown.map((problem) => viewProblem(problem, sourceOf(problem.file))),
    more: problems.length - shown.length,
  };
}

function viewProblem(problem: Problem, source: SourceText | null): ProblemView {
  const notes: ProblemNote[] = problem.related.map((other) => ({
    kind: 'related',
    lead: `${escapeText(other.message)}:`,
    text: locationText(other),
    end: '',
  }));
  if (problem.suggestion !== null) {
    const text = `"${escapeText(problem.suggestion)}"`;
    notes.push({ kind: 'suggestion', lead: 'did you mean', text, end: '?' });
  }
  if (problem.advice !== null) {
    notes.push({ kind: 'advice', lead: '', text: escapeText(problem.advice), end: '' });
  }
  return {
    location: locationText(problem),
    file: problem.file,
    line: problem.line,
    severity: problem.severity,
    message: escapeText(problem.message),
    rule: problem.rule,
    frame: source === null ? null : problemFrame(problem, source),
    notes,
  };
}

/** Nobody reads more than this many at once. */
const MAX_SHOWN = 200;

/** In the order given; errors are left out only for other errors. */
function choose(problems: readonly Problem[]): readonly Problem[] {
  if (problems.length <= MAX_SHOWN) return problems;
  const errors = problems.filter(({ severity }) => severity === 'error').slice(0, MAX_SHOWN);
  const warnings = problems.filter(({ severity }) => severity === 'warning');
  const kept = new Set([...errors, ...warnings.slice(0, MAX_SHOWN - errors.length)]);
  return problems.filter((problem) => kept.has(problem));
}

function locationText(location: { file: string; line: number; column: number }): string {
  return `${escapeText(location.file)}:${location.line}:${location.column}`;
}
