import { spawnSync } from 'node:child_process';
import { mkdirSync, readdirSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import { join, relative } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { dump, DUMPS } from '../../examples/demo/firmware.mjs';
import { describe as describeBytes, generate } from '../../examples/demo/generate.mjs';
import { inventedBytes } from '../../examples/demo/bytes.mjs';
import { tempFolder } from '../support/temp.js';

const generator = fileURLToPath(new URL('../../examples/demo/generate.mjs', import.meta.url));
const manifestPath = (name: string): string =>
  fileURLToPath(new URL(`../../examples/demo/${name}`, import.meta.url));

type WrittenDump = Readonly<Record<string, string>>;
interface WrittenFirmware {
  readonly dumps?: readonly WrittenDump[];
  readonly members?: readonly { readonly path: string; readonly dumps: readonly WrittenDump[] }[];
}

/** What the demo's manifests say, read as text by the yaml package alone: id (`id/member`) -> dumps. */
function writtenDumps(): Map<string, readonly WrittenDump[]> {
  const written = new Map<string, readonly WrittenDump[]>();
  for (const name of ['manifest.yaml', 'turnstone.yaml']) {
    const document = parse(readFileSync(manifestPath(name), 'utf8'), { schema: 'failsafe' }) as {
      firmware: Record<string, WrittenFirmware>;
    };
    for (const [id, entry] of Object.entries(document.firmware)) {
      if (entry.dumps) written.set(id, entry.dumps);
      for (const member of entry.members ?? []) written.set(`${id}/${member.path}`, member.dumps);
    }
  }
  return written;
}

/** Relative '/'-joined path -> content, of every file below a folder. */
function contentOf(folder: string): Map<string, string> {
  const files = readdirSync(folder, { recursive: true, encoding: 'utf8' })
    .map((name) => join(folder, name))
    .filter((path) => statSync(path).isFile());
  return new Map(
    files.map((path) => [
      relative(folder, path).replaceAll('\\', '/'),
      readFileSync(path).toString('hex'),
    ]),
  );
}

describe('the demo', () => {
  it('has manifests that say what the generator makes', () => {
    // Expected sizes and digests come from node:crypto and node:zlib, not from Firmtally.
    const written = writtenDumps();
    expect([...written.keys()].sort()).toEqual(Object.keys(DUMPS).sort());
    for (const [id, dumps] of written) {
      const made = Object.values(DUMPS[id] ?? {}).map(describeBytes);
      expect(dumps.length, id).toBe(made.length);
      dumps.forEach((dump, index) => {
        const expected: Readonly<Record<string, string | number>> = made[index] ?? {};
        const fields = Object.entries(dump).filter(([field]) => field !== 'label');
        expect(fields.length, id).toBeGreaterThan(0);
        for (const [field, value] of fields) {
          // The one slip that the manifest makes on purpose.
          const slip = id === 'avocet-font' && field === 'size' ? '2408' : null;
          expect(value, `${id} ${field}`).toBe(slip ?? String(expected[field]));
        }
      });
    }
  });

  it('draws its bytes from xorshift32 as published', () => {
    // Marsaglia 2003, section 3; the state is the FNV-1a hash of the name. FNV-1a of "a" is
    // e40c292c (RFC 9923's test vectors), from which three steps are worked out in BigInt here.
    const mask = 0xffff_ffffn;
    let state = 0xe40c292cn;
    const expected = [0, 1, 2].map(() => {
      state ^= (state << 13n) & mask;
      state ^= state >> 17n;
      state ^= (state << 5n) & mask;
      return Number(state & 0xffn);
    });
    expect([...inventedBytes('a', 3)]).toEqual(expected);
  });

  it('is the same on every run', () => {
    const [one, two] = [tempFolder(), tempFolder()];
    generate(one);
    generate(two);
    generate(two);
    expect(contentOf(two)).toEqual(contentOf(one));
    expect(contentOf(one).size).toBeGreaterThan(40);
  });

  it('starts over where an earlier demo was changed', () => {
    const folder = tempFolder();
    generate(folder);
    const before = contentOf(folder);
    writeFileSync(join(folder, 'card/system/firmware/osprey_boot.bin'), dump('osprey-west'));
    mkdirSync(join(folder, 'card/firmtally-kept'));
    generate(folder);
    expect(contentOf(folder)).toEqual(before);
  });

  it('never touches a folder that is not a demo', () => {
    const folder = tempFolder();
    mkdirSync(join(folder, 'card'));
    writeFileSync(join(folder, 'card/save.dat'), 'mine');
    const result = spawnSync(process.execPath, [generator, folder], { encoding: 'utf8' });
    expect(result.status).toBe(2);
    expect(result.stderr.trimEnd().split('\n')).toHaveLength(1);
    expect(readFileSync(join(folder, 'card/save.dat'), 'utf8')).toBe('mine');
  });
});
