import type { ProblemList } from '../rules/problem-list.js';
import type { Suggester } from '../rules/suggester.js';
import { jsonValue } from './json-value.js';
import { somethingElse } from './something-else.js';
import type { SourceText } from './source-text.js';
import type { ParsedManifest } from './parsed.js';

/**
 * Parses YAML 1.2 or JSON. Every scalar stays the text that was written, so
 * that digests like `00001234` or `1e100000` survive; only the keys that hold
 * whole numbers are converted. Null when there is nothing to go on with.
 */
export async function parseText(
  source: SourceText,
  problems: ProblemList,
  suggester: Suggester,
): Promise<ParsedManifest | null> {
  const json = jsonValue(source.text);
  if (json !== null) return { ...json, source, syntaxErrors: [] };
  const other = somethingElse(source.text);
  if (other !== null) {
    problems.add(other.rule, { source, range: { start: 0, end: 0 }, pointer: '' }, other.finding);
    return null;
  }
  // Loaded only for what needs it: JSON does not.
  const { parseByLibrary } = await import('./parse-by-library.js');
  return parseByLibrary(source, problems, suggester);
}
