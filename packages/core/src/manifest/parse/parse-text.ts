import type { ProblemList } from '../rules/problem-list.js';
import type { Suggester } from '../rules/suggester.js';
import { notAManifest } from '../rules/whole-file.js';
import { jsonValue } from './json-value.js';
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
  if (isSomethingElse(source.text)) {
    problems.add(
      notAManifest,
      { source, range: { start: 0, end: 0 }, pointer: '' },
      {
        message: 'This is no manifest: it has none of the keys firmtally, firmware and systems.',
        advice: 'check that it is the right file',
      },
    );
    return null;
  }
  // Loaded only for what needs it: JSON does not.
  const { parseByLibrary } = await import('./parse-by-library.js');
  return parseByLibrary(source, problems, suggester);
}

/**
 * Whether a text is surely something else, say a log: none of the keys every
 * manifest has is in it. A short one is read all the same, as what stands in
 * it may be a manifest just begun.
 */
function isSomethingElse(text: string): boolean {
  return text.length > SHORT && !/\b(?:firmtally|firmware|systems)["']?[ \t\r\n]{0,20}:/.test(text);
}

const SHORT = 4096;
