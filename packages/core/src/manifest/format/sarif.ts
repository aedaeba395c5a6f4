import { sentence } from '../../text/sentence.js';
import type { Problem } from '../problem.js';
import { RULES } from '../rules/index.js';
import { TOOL } from '../../version.js';

/**
 * A SARIF 2.1.0 log (OASIS Standard, 2020-03-27) with one run. Paths become
 * URI references as RFC 3986 writes them; relative ones stay relative.
 *
 * @example
 * const log = sarifLog([]);
 * 'runs' in log; // => true
 */
export function sarifLog(problems: readonly Problem[]): object {
  return {
    $schema:
      'https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json',
    version: '2.1.0',
    runs: [
      {
        tool: {
          driver: {
            name: TOOL.name,
            semanticVersion: TOOL.version,
            rules: RULES.map(({ id, severity, description }) => ({
              id,
              shortDescription: { text: description },
              defaultConfiguration: { level: severity },
            })),
          },
        },
        columnKind: 'utf16CodeUnits',
        results: problems.map(toResult),
      },
    ],
  };
}

function toResult(problem: Problem): object {
  const hint = problem.suggestion === null ? '' : ` Did you mean "${problem.suggestion}"?`;
  const advice = problem.advice === null ? '' : ` ${sentence(problem.advice)}`;
  return {
    ruleId: problem.rule,
    ruleIndex: RULES.findIndex(({ id }) => id === problem.rule),
    level: problem.severity,
    message: { text: problem.message + hint + advice },
    locations: [location(problem)],
    ...(problem.related.length === 0
      ? {}
      : {
          relatedLocations: problem.related.map((other, id) => ({
            id,
            message: { text: other.message },
            ...location(other),
          })),
        }),
  };
}

interface Region {
  readonly file: string;
  readonly line: number;
  readonly column: number;
  readonly endLine?: number;
  readonly endColumn?: number;
}

function location({ file, line, column, endLine, endColumn }: Region): object {
  return {
    physicalLocation: {
      artifactLocation: { uri: uriReference(file) },
      region: {
        startLine: line,
        startColumn: column,
        ...(endLine === undefined || endColumn === undefined ? {} : { endLine, endColumn }),
      },
    },
  };
}

/** RFC 3986: a relative reference, or a file URI for an absolute path or one with a drive letter. */
function uriReference(path: string): string {
  // A lone surrogate (a byte that is not UTF-8) has no percent-encoding by character.
  const encoded = path
    .replaceAll(/\p{Surrogate}/gu, '\ufffd')
    .split('/')
    .map(encodeURIComponent)
    .join('/');
  if (path.startsWith('/')) return `file://${encoded}`;
  return /^[A-Za-z]:\//.test(path) ? `file:///${encoded.replace('%3A', ':')}` : encoded;
}
