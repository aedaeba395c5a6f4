import { readdirSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import {
  escapeText,
  formatProblems,
  readManifests,
  sarifLog,
  schemaText,
  validationDocument,
  type ManifestResult,
} from '@firmtally/core';
import { Ajv2020 } from 'ajv/dist/2020.js';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { manifest as anyManifest } from './support/arbitrary-manifest.js';

// What only editors read is unknown to ajv.
const ajv = new Ajv2020({ allowUnionTypes: true, strictSchema: false });
const isManifest = ajv.compile(JSON.parse(schemaText('manifest')) as object);
const isValidation = ajv.compile(JSON.parse(schemaText('validation')) as object);

const golden = fileURLToPath(new URL('golden/', import.meta.url));
const seeds = readdirSync(golden, { recursive: true, encoding: 'utf8' })
  .filter((name) => /\.(?:yaml|json)$/.test(name))
  .map((name) => new Uint8Array(readFileSync(golden + name)));

/** What holds for whatever bytes are given. */
async function check(bytes: Uint8Array): Promise<ManifestResult> {
  const result = await readManifests([{ path: 'm.yaml', bytes }]);
  const { manifest, problems } = result;
  expect(manifest === null).toBe(problems.some(({ severity }) => severity === 'error'));
  const lines = new TextDecoder().decode(bytes).split('\n');
  for (const problem of problems) {
    const { line, column, endLine, endColumn, message } = problem;
    expect(line).toBeGreaterThanOrEqual(1);
    expect(line).toBeLessThanOrEqual(lines.length);
    expect(column).toBeGreaterThanOrEqual(1);
    expect(column).toBeLessThanOrEqual((lines[line - 1] ?? '').length + 1);
    expect(endLine).toBeLessThanOrEqual(lines.length);
    expect(endLine > line || endColumn >= column).toBe(true);
    expect(message).not.toBe('');
    expect(message).not.toMatch(/must (?:NOT )?(?:have|be|match)/);
  }
  const text = formatProblems(problems, new Map([['m.yaml', bytes]]));
  for (const line of text.split('\n')) expect(escapeText(line)).toBe(line);
  expect(isValidation(validationDocument(result)), JSON.stringify(isValidation.errors)).toBe(true);
  JSON.stringify(sarifLog(problems));
  return result;
}

describe('readManifests', () => {
  it('takes random bytes', async () => {
    await fc.assert(
      fc.asyncProperty(fc.uint8Array({ maxLength: 200 }), async (bytes) => {
        expect((await check(bytes)).problems).not.toEqual([]);
      }),
      { seed: 20_252, numRuns: 200 },
    );
  });

  it('takes random characters that mean something to YAML', async () => {
    const unit = fc.constantFrom(
      ...Array.from('[]{}:,-?&*!|>\'"%@` \n\t#ab1~\\'),
      '<<',
      '---\n',
      '\r\n',
      '&a ',
      '*a',
    );
    await fc.assert(
      fc.asyncProperty(fc.string({ unit, maxLength: 60 }), async (text) => {
        expect((await check(new TextEncoder().encode(text))).problems).not.toEqual([]);
      }),
      { seed: 20_253, numRuns: 400 },
    );
  });

  it('takes manifests with bytes changed, removed and repeated', async () => {
    const edit = fc.record({
      at: fc.nat(),
      remove: fc.nat(6),
      put: fc.uint8Array({ maxLength: 3 }),
    });
    const edits = fc.array(edit, { minLength: 1, maxLength: 4 });
    await fc.assert(
      fc.asyncProperty(fc.constantFrom(...seeds), edits, async (seed, changes) => {
        let bytes = [...seed];
        for (const { at, remove, put } of changes) {
          const start = at % (bytes.length + 1);
          bytes = [...bytes.slice(0, start), ...put, ...bytes.slice(start + remove)];
        }
        await check(Uint8Array.from(bytes));
      }),
      { seed: 20_254, numRuns: 250 },
    );
  });

  it('refuses whatever the published schema refuses', async () => {
    let refused = 0;
    await fc.assert(
      fc.asyncProperty(
        anyManifest,
        fc.array(fc.nat(), { minLength: 8, maxLength: 8 }),
        fc.constantFrom<unknown>(null, [], {}, 'x', '', '../x', [[]], { path: 'a' }),
        async (source, turns, value) => {
          const damaged = structuredClone(source) as unknown;
          damage(damaged, turns, value);
          const valid = isManifest(damaged);
          const text = JSON.stringify(damaged);
          const { manifest } = await check(new TextEncoder().encode(text));
          if (valid) return;
          refused++;
          expect(manifest, `${text}\n${JSON.stringify(isManifest.errors)}`).toBeNull();
        },
      ),
      { seed: 20_255, numRuns: 150 },
    );
    expect(refused).toBeGreaterThan(50);
  });
});

/** Replaces, renames or removes one part, found by going down at random. */
function damage(root: unknown, turns: readonly number[], value: unknown): void {
  let part = root as Record<string, unknown>;
  for (const [depth, turn] of turns.entries()) {
    const keys = Object.keys(part);
    const key = keys[turn % keys.length];
    if (key === undefined) return;
    const next = part[key];
    if (typeof next === 'object' && next !== null && turn % 4 !== 0 && depth < turns.length - 1) {
      if (Object.keys(next).length > 0) {
        part = next as Record<string, unknown>;
        continue;
      }
    }
    if (turn % 3 === 0) part[key] = value;
    else if (turn % 3 === 1 && !Array.isArray(part)) part[`${key}x`] = next;
    else if (Array.isArray(part)) part.push(value);
    else Reflect.deleteProperty(part, key);
    return;
  }
}
