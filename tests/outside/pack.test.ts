/**
 * What `npm pack` makes is what a stranger gets: installed by the npm client
 * into an empty project, checked by the TypeScript compiler under both module
 * resolutions it documents for Node and for bundlers, and run.
 */
import { execFile } from 'node:child_process';
import { createHash } from 'node:crypto';
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { promisify } from 'node:util';
import { build, transform } from 'esbuild';
import { publint } from 'publint';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';

const run = promisify(execFile);
const npm = process.platform === 'win32' ? 'npm.cmd' : 'npm';
const shell = process.platform === 'win32'; // .cmd files start through one only
const workspace = fileURLToPath(new URL('../..', import.meta.url));
const tsc = createRequire(import.meta.url).resolve('typescript/bin/tsc');
const PACKAGES = ['core', 'host', 'cli'] as const;

interface Packed {
  readonly filename: string;
  readonly files: readonly { readonly path: string }[];
}

let project = '';
const packed = new Map<string, Packed>();

beforeAll(async () => {
  project = mkdtempSync(join(tmpdir(), 'firmtally-pack-'));
  for (const name of PACKAGES) {
    const { stdout } = await run(
      npm,
      ['pack', '--json', '--ignore-scripts', '--pack-destination', project],
      { cwd: join(workspace, 'packages', name), shell },
    );
    packed.set(name, firstOf(stdout));
  }
  writeFileSync(
    join(project, 'package.json'),
    JSON.stringify({ name: 'a-stranger', private: true, type: 'module' }),
  );
  await run(
    npm,
    [
      'install',
      '--prefer-offline',
      '--no-audit',
      '--no-fund',
      ...[...packed.values()].map((one) => `./${one.filename}`),
    ],
    { cwd: project, shell },
  );
}, 120_000);

afterAll(() => {
  rmSync(project, { recursive: true, force: true });
});

/** npm 11 and before print a list, later ones an object by package name. */
function firstOf(json: string): Packed {
  const [first] = Object.values(JSON.parse(json) as Record<string, Packed>);
  if (first === undefined) throw new Error(`npm pack named no file: ${json}`);
  return first;
}

describe('tarballs', () => {
  it.each(PACKAGES)('%s carries its README, licence and no leftovers', (name) => {
    const paths = packed.get(name)?.files.map((file) => file.path) ?? [];
    expect(paths).toEqual(expect.arrayContaining(['README.md', 'LICENSE', 'package.json']));
    expect(
      paths.filter((path) => !/^(?:dist\/|docs\/|README\.md$|LICENSE$|package\.json$)/u.test(path)),
    ).toEqual([]);
    expect(paths.filter((path) => /tsbuildinfo|\.test\./u.test(path))).toEqual([]);
    // A text of the build, not of any source.
    const code = paths.filter(
      (path) => path.endsWith('.js') && !path.endsWith('/worker-source.js'),
    );
    for (const path of code) expect(paths, 'source maps').toContain(`${path}.map`);
    expect(readFileSync(join(workspace, 'packages', name, 'LICENSE'), 'utf8')).toBe(
      readFileSync(join(workspace, 'LICENSE'), 'utf8'),
    );
  });

  it('bring the documents that their READMEs link to, and the schemas', () => {
    for (const name of PACKAGES) {
      const paths = packed.get(name)?.files.map((file) => file.path) ?? [];
      const readme = readFileSync(join(workspace, 'packages', name, 'README.md'), 'utf8');
      const links = [...readme.matchAll(/\]\((?!https?:)([^)#]+)/gu)].map((match) => match[1]);
      expect(paths, name).toEqual(expect.arrayContaining(links));
    }
    const schema = createRequire(join(project, 'x.js')).resolve(
      '@firmtally/core/schemas/manifest.schema.json',
    );
    expect(readFileSync(schema, 'utf8')).toBe(
      readFileSync(join(workspace, 'data-schemas/manifest.schema.json'), 'utf8'),
    );
  });

  it.each(PACKAGES)('%s satisfies publint, strictly', async (name) => {
    const { messages } = await publint({
      pkgDir: join(project, 'node_modules', name === 'cli' ? 'firmtally' : `@firmtally/${name}`),
      strict: true,
      pack: false,
    });
    expect(messages).toEqual([]);
  });

  it.each(['core', 'host'] as const)(
    '%s has types that resolve as its code does, says attw',
    async (name) => {
      const tarball = join(project, packed.get(name)?.filename ?? '');
      const attw = createRequire(import.meta.url).resolve('@arethetypeswrong/cli/package.json');
      const bin = join(attw, '..', 'dist', 'index.js');
      // CommonJS takes an ES module by require() since Node 20.19, the least we support.
      const args = [bin, tarball, '--profile', 'esm-only', '--no-color'];
      const failure = await run(process.execPath, args).then(
        () => null,
        (error: unknown) => (error as { stdout: string }).stdout,
      );
      expect(failure).toBeNull();
    },
    120_000,
  );

  it('name every package whose code is in the CLI bundle, with its licence text', () => {
    const notices = installed('firmtally/dist/bundle/THIRD-PARTY-NOTICES.txt');
    for (const name of ['yargs', 'hash-wasm', 'yaml', 'yauzl', 'cli-table3']) {
      expect(notices, name).toMatch(new RegExp(`^=+\\n${name} \\d+\\.\\d+\\.\\d+ \\(`, 'mu'));
    }
    expect(notices).toContain('UNICODE LICENSE V3');
    const core = installed('@firmtally/core/dist/THIRD-PARTY-NOTICES.txt');
    expect(core).toContain('UNICODE LICENSE V3');
    expect(core).toMatch(/^ajv \d+\.\d+\.\d+ \(MIT\)$/mu);
  });
});

describe('an empty project that installed them', () => {
  it.each([
    { module: 'nodenext', moduleResolution: 'nodenext' },
    { module: 'esnext', moduleResolution: 'bundler' },
  ])(
    'type-checks a program with moduleResolution $moduleResolution',
    async (resolution) => {
      const name = resolution.moduleResolution;
      writeFileSync(join(project, 'program.ts'), PROGRAM);
      writeFileSync(
        join(project, `tsconfig.${name}.json`),
        JSON.stringify({
          compilerOptions: {
            ...resolution,
            target: 'es2022',
            strict: true,
            exactOptionalPropertyTypes: true,
            noEmit: true,
            // Our declarations are to stand by themselves, without Node's types.
            types: [],
            skipLibCheck: false,
          },
          files: ['program.ts'],
        }),
      );
      const result = await run(process.execPath, [tsc, '-p', `tsconfig.${name}.json`], {
        cwd: project,
      }).catch((error: unknown) => error as { stdout: string });
      expect(result.stdout).toBe('');
    },
    60_000,
  );

  it('runs that program', async () => {
    const { code } = await transform(PROGRAM, { loader: 'ts' });
    writeFileSync(join(project, 'program.js'), code);
    writeFileSync(join(project, 'osprey_boot.bin'), 'an invented firmware');
    const { stdout } = await run(process.execPath, ['program.js'], { cwd: project });
    expect(stdout.trim().split('\n')).toEqual(EXPECTED);
  }, 60_000);

  it('runs `npx firmtally --version`', async () => {
    const { stdout } = await run('npx', ['--no-install', 'firmtally', '--version'], {
      cwd: project,
      shell,
    });
    const { version } = JSON.parse(installed('firmtally/package.json')) as { version: string };
    expect(stdout.trim()).toBe(version);
  }, 60_000);
});

describe('what the READMEs show', () => {
  /** Text of the first block of that language. */
  function block(name: string, language: string): string {
    const readme = readFileSync(join(workspace, 'packages', name, 'README.md'), 'utf8');
    const found = new RegExp(`^\`\`\`${language}\\n(.*?)^\`\`\`$`, 'msu').exec(readme)?.[1];
    if (found === undefined) throw new Error(`packages/${name}/README.md has no ${language} block`);
    return found;
  }

  /** 123456789: cbf43926 is the check value that CRC catalogues give for it. */
  function makeCard(name: string): void {
    mkdirSync(join(project, 'card'), { recursive: true });
    writeFileSync(join(project, 'card', 'osprey_boot.bin'), '123456789');
    writeFileSync(join(project, 'tern.yaml'), block(name, 'yaml'));
  }

  it.each(['core', 'host'])('%s: the program prints what stands below it', async (name) => {
    if (name === 'host') makeCard(name);
    writeFileSync(join(project, 'readme.js'), block(name, 'js'));
    const { stdout } = await run(process.execPath, ['readme.js'], { cwd: project });
    expect(stdout).toBe(block(name, 'text'));
  });

  it('cli: every command ends well', async () => {
    makeCard('cli');
    for (const line of block('cli', 'sh').trim().split('\n')) {
      const [npx, program = '', ...words] = line.split(' ');
      expect(npx).toBe('npx');
      const bin = join(project, 'node_modules', '.bin', program);
      const { stdout } = await run(bin, words, { cwd: project, shell });
      expect(stdout, line).not.toBe('');
    }
  }, 60_000);
});

describe('a program bundled with esbuild', () => {
  it.each(['esm', 'cjs'] as const)(
    'as %s hashes on threads',
    async (format) => {
      const file = format === 'esm' ? 'bundled.mjs' : 'bundled.cjs';
      for (const name of ['a', 'b'])
        writeFileSync(join(project, name), Buffer.alloc(20 << 20, name));
      await build({
        stdin: { contents: BUNDLED, resolveDir: project },
        outfile: join(project, 'elsewhere', file),
        bundle: true,
        platform: 'node',
        format,
        // What yauzl requires of Node; esbuild documents this for CommonJS inside ES modules.
        ...(format === 'esm' ? { banner: { js: REQUIRE } } : {}),
      });
      const { stdout, stderr } = await run(process.execPath, [join('elsewhere', file)], {
        cwd: project,
        env: { ...process.env, NODE_DEBUG: 'worker' },
      });
      const md5 = (name: string): string =>
        createHash('md5')
          .update(Buffer.alloc(20 << 20, name))
          .digest('hex');
      expect(stdout.trim()).toBe(`${md5('a')} ${md5('b')}`);
      expect(stderr).toMatch(/^WORKER /mu); // Node's own word that a thread started
    },
    60_000,
  );
});

const REQUIRE =
  "import { createRequire } from 'node:module'; const require = createRequire(import.meta.url);";
const BUNDLED = `
import { digestFiles } from '@firmtally/host';
digestFiles(['a', 'b'], { algorithms: ['md5'], jobs: 2 }).then(({ files }) =>
  console.log(files.map((file) => file.md5).join(' ')),
);
`;

function installed(path: string): string {
  return readFileSync(join(project, 'node_modules', path), 'utf8');
}

/** What a stranger might write with both libraries; without `node:` imports it needs no Node types. */
const PROGRAM = `
import { audit, type Report } from '@firmtally/core';
import { nodePlatform, openFolder } from '@firmtally/host';

declare const console: { log(text: string): void };

// INVENTED; the digest is node:crypto's of the file beside this program.
const text = \`
firmtally: 1
firmware:
  osprey-boot: {path: osprey_boot.bin, dumps: [{md5: DIGEST}]}
  osprey-east: {path: osprey_east.bin, dumps: [{crc32: '00000001'}]}
systems:
  osprey: {requires: [osprey-boot]}
  osprey-east: {requires: [osprey-boot, {any-of: [osprey-east]}]}
\`;
const bytes = new TextEncoder().encode(text);
const folder = await openFolder('.', { jobs: 2 });
const report: Report = await audit(folder, {
  manifests: [{ path: 'invented.yaml', bytes }],
  platform: nodePlatform,
});
await folder.close();
for (const { id, readiness } of report.systems) console.log(id + ': ' + readiness);
declare class TextEncoder { encode(text: string): Uint8Array }
`.replace('DIGEST', createHash('md5').update('an invented firmware').digest('hex'));

const EXPECTED = ['osprey: ready', 'osprey-east: not-ready'];
