import { escapeText } from '../../text/escape.js';
import { decodeText } from '../parse/decode.js';
import { SourceText } from '../parse/source-text.js';
import type { Problem } from '../problem.js';
import { fill, wordsOf, type Part, type ProblemStyle } from './fill.js';
import { frame } from './frame.js';

export interface ProblemTextOptions {
  /**
   * Cells a frame may be wide, and below 80 every other line too, but for long
   * names. From 80 on a sentence stays on one line, for editors and `grep`.
   */
  readonly columns: number;
  /** Only ASCII in what is drawn. */
  readonly ascii: boolean;
  /** Colours text; none by default. */
  readonly paint?: (style: ProblemStyle, text: string) => string;
}

/**
 * Problems as text: `file:line:column: severity: message [rule]`, the line with
 * the place marked below it, and what helps. `sources` holds the manifests by
 * path; a problem in a file that is not there gets no frame. Everything that
 * comes from a manifest is escaped. Of more than 200 problems 200 are shown,
 * errors before warnings, and a last line says how many are not.
 */
export function formatProblems(
  problems: readonly Problem[],
  sources: ReadonlyMap<string, string | Uint8Array>,
  options: ProblemTextOptions,
): string {
  const paint = options.paint ?? ((_style: ProblemStyle, text: string): string => text);
  const width = options.columns < WHOLE_FROM ? options.columns : Infinity;
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
  const blocks = shown.map((problem) => {
    const gutter = ' '.repeat(String(problem.line).length);
    const head = fill(
      [
        { text: `${locationText(problem)}:`, paint: (text) => paint('bold', text) },
        { text: `${problem.severity}:`, paint: (text) => paint(severityStyle(problem), text) },
        ...wordsOf(escapeText(problem.message)),
        { text: `[${problem.rule}]`, paint: (text) => paint('dim', text) },
      ],
      width,
      '  ',
    );
    const note = (parts: readonly Part[]): string[] =>
      fill([{ text: `${gutter} =` }, ...parts], width, `${gutter}   `);
    const source = sourceOf(problem.file);
    const lines = [
      ...head,
      ...(source === null ? [] : frame(problem, source, options.ascii, options.columns, paint)),
    ];
    for (const place of problem.related) {
      lines.push(
        ...note([...wordsOf(`${escapeText(place.message)}:`), { text: locationText(place) }]),
      );
    }
    if (problem.suggestion !== null) {
      const quoted = `"${escapeText(problem.suggestion)}"`;
      lines.push(
        ...note([
          ...wordsOf('did you mean'),
          { text: `${quoted}?`, paint: () => `${paint('green', quoted)}?` },
        ]),
      );
    }
    if (problem.advice !== null) lines.push(...note(wordsOf(escapeText(problem.advice))));
    return `${lines.join('\n')}\n`;
  });
  const more = problems.length - shown.length;
  if (more > 0) blocks.push(`and ${more} more, not shown here\n`);
  return blocks.join('\n');
}

/** Nobody reads more than this many at once, and a terminal keeps some thousand lines. */
const MAX_SHOWN = 200;

/** In the order given; errors are left out only for other errors. */
function choose(problems: readonly Problem[]): readonly Problem[] {
  if (problems.length <= MAX_SHOWN) return problems;
  const errors = problems.filter(({ severity }) => severity === 'error').slice(0, MAX_SHOWN);
  const warnings = problems.filter(({ severity }) => severity === 'warning');
  const kept = new Set([...errors, ...warnings.slice(0, MAX_SHOWN - errors.length)]);
  return problems.filter((problem) => kept.has(problem));
}

/** Terminals at least this wide show a broken line well enough. */
const WHOLE_FROM = 80;

function severityStyle({ severity }: Problem): ProblemStyle {
  return severity === 'error' ? 'red' : 'yellow';
}

function locationText(place: { file: string; line: number; column: number }): string {
  return `${escapeText(place.file)}:${place.line}:${place.column}`;
}
