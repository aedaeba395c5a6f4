/**
 * The exported functions, classes and constants of an API report that have no
 * docstring, as their first lines. Types explain themselves by their fields.
 */
export function undocumented(report: string): string[] {
  return [...report.matchAll(UNDOCUMENTED)].map((match) => match[1] ?? '');
}

// The mark is the one api-extractor puts before each declaration.
const UNDOCUMENTED =
  /^\/\/ @public \(undocumented\)\nexport (?:declare )?((?:abstract )?(?:function|class|const) .*)$/gmu;
