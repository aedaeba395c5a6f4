import type { Report } from '@firmtally/core';
import type { ExpectedRow, Vector } from './vector.js';

/** The part of a report that a scenario speaks of, in the scenario's own terms. */
export function observed(report: Report): unknown {
  return {
    firmware: Object.fromEntries(
      report.firmware.map((row) => [
        row.id,
        {
          verdict: row.verdict,
          foundAt: row.foundAt,
          judged: row.judged,
          diagnosis: row.diagnosis,
          facts: row.facts.map(codeOf),
        },
      ]),
    ),
    systems: Object.fromEntries(
      report.systems.map((row) => [
        row.id,
        { readiness: row.readiness, met: row.requires.map(({ met }) => met) },
      ]),
    ),
    toGet: report.toGet.map(({ anyOf, systems, optional, facts }) => ({
      anyOf,
      systems,
      optional,
      facts: facts.map(codeOf),
    })),
    hints: report.hints.map(({ text, ...values }) => {
      if (text === '') throw new Error('a hint without words');
      return values;
    }),
    strays: report.strays.map(({ path }) => path),
    faults: Object.fromEntries(report.faults.map(({ path, code }) => [path, code])),
  };
}

/** The same from the scenario, with what it leaves unsaid. */
export function wanted(vector: Vector, report: Report): unknown {
  const { firmware, systems, toGet, hints = [], strays = [], faults = {} } = vector.expect;
  return {
    firmware: Object.fromEntries(
      Object.entries(firmware).map(([id, expected]) => {
        const row: ExpectedRow = typeof expected === 'string' ? { verdict: expected } : expected;
        const path = report.firmware.find((each) => each.id === id)?.expectedPath ?? null;
        const usual = row.verdict === 'missing' ? null : path;
        const judged = row.judged === undefined ? (row.foundAt ?? usual) : row.judged;
        return [
          id,
          {
            verdict: row.verdict,
            foundAt: row.foundAt === undefined ? usual : row.foundAt,
            judged,
            diagnosis: row.diagnosis ?? null,
            facts: row.facts ?? [],
          },
        ];
      }),
    ),
    systems: Object.fromEntries(
      Object.entries(systems).map(([id, { readiness, met }]) => [id, { readiness, met }]),
    ),
    toGet: toGet.map((row) => ({
      anyOf: row.anyOf,
      systems: row.systems,
      optional: row.optional ?? false,
      facts: row.facts ?? [],
    })),
    hints,
    strays,
    faults,
  };
}

/** What only some scenarios speak of: pairs of what is there and what should be. */
export function details(vector: Vector, report: Report): [unknown, unknown][] {
  const pairs: [unknown, unknown][] = [];
  for (const [id, row] of Object.entries(vector.expect.firmware)) {
    const found = report.firmware.find((each) => each.id === id);
    if (typeof row === 'string') continue;
    if (row.dump !== undefined) pairs.push([found?.dump, row.dump]);
    if (row.advice !== undefined) pairs.push([found?.advice?.code, row.advice]);
  }
  for (const [id, row] of Object.entries(vector.expect.systems)) {
    const found = report.systems.find((each) => each.id === id);
    if (row.satisfiedBy !== undefined) {
      const by = found?.requires.flatMap((item) => ('anyOf' in item ? [item.satisfiedBy] : []));
      pairs.push([by, row.satisfiedBy]);
    }
    if (row.optional !== undefined) {
      const { match, total } = found?.optional ?? { match: -1, total: -1 };
      pairs.push([`${String(match)}/${String(total)}`, row.optional]);
    }
    if (row.found !== undefined) {
      pairs.push([found?.folders.map((folder) => folder.found), row.found]);
    }
  }
  return pairs;
}

/** `of-member/member-bytes`: the code of a fact, and of the fact that it is about. */
function codeOf(fact: { readonly code: string; readonly fact?: unknown }): string {
  const inner = fact.fact as Parameters<typeof codeOf>[0] | undefined;
  return inner === undefined ? fact.code : `${fact.code}/${codeOf(inner)}`;
}
