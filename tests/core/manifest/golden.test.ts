import { existsSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { formatProblems, readManifests, RULES, type ManifestFile } from '@firmtally/core';
import { describe, expect, it } from 'vitest';

/**
 * Pairs in golden/<rule>/: `x.yaml` or `x.json` (with `x.2.yaml` beside it when
 * it takes two) and `x.out`, what people see. golden/ok/ gives no problems.
 * FIRMTALLY_UPDATE_GOLDEN=1 rewrites the `.out` files.
 */
const golden = fileURLToPath(new URL('golden', import.meta.url));
const update = process.env['FIRMTALLY_UPDATE_GOLDEN'] === '1';

interface Case {
  readonly rule: string;
  readonly name: string;
  readonly files: readonly string[];
}

const cases: Case[] = readdirSync(golden, { withFileTypes: true })
  .filter((entry) => entry.isDirectory())
  .flatMap(({ name: rule }) => {
    const inputs = readdirSync(`${golden}/${rule}`)
      .filter((file) => !file.endsWith('.out'))
      .sort();
    return inputs
      .filter((file) => !/\.2\.\w+$/.test(file))
      .map((file) => {
        const name = file.replace(/\.\w+$/, '');
        return {
          rule,
          name,
          files: [file, ...inputs.filter((other) => other.startsWith(`${name}.2.`))],
        };
      });
  });

function load({ rule, files }: Case): ManifestFile[] {
  return files.map((path) => ({
    path,
    bytes: new Uint8Array(readFileSync(`${golden}/${rule}/${path}`)),
  }));
}

describe('what people see of problems', () => {
  it.each(cases.filter(({ rule }) => rule !== 'ok'))('$rule: $name', async (example) => {
    const files = load(example);
    const { manifest, problems } = await readManifests(files);
    expect(problems.map(({ rule }) => rule)).toContain(example.rule);
    expect(manifest === null).toBe(problems.some(({ severity }) => severity === 'error'));
    const text = formatProblems(problems, new Map(files.map(({ path, bytes }) => [path, bytes])));
    const out = `${golden}/${example.rule}/${example.name}.out`;
    if (update) writeFileSync(out, text);
    expect(existsSync(out)).toBe(true);
    expect(text).toBe(readFileSync(out, 'utf8'));
  });

  it.each(cases.filter(({ rule }) => rule === 'ok'))('ok: $name gives none', async (example) => {
    const { manifest, problems } = await readManifests(load(example));
    expect(problems).toEqual([]);
    expect(manifest).not.toBeNull();
  });

  // Large files are made in read-manifests.test.ts instead of kept here.
  it('has a pair for every rule but those of size', () => {
    const shown = new Set(cases.map(({ rule }) => rule));
    const missing = RULES.map(({ id }) => id).filter((id) => !shown.has(id));
    expect(missing).toEqual(['too-large', 'loadout-limit', 'too-many-problems']);
  });
});
