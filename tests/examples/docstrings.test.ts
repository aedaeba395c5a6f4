/**
 * Every name that core and host export says what it is, and every function has
 * an example. The examples are compiled as a user's own code would be, and run
 * in a process of their own beside a small card; `x; // => y` claims that x is y.
 */
import { execFileSync } from 'node:child_process';
import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import ts from 'typescript';
import { describe, expect, it } from 'vitest';
import { tempFolder } from '../support/temp.js';

const workspace = (path: string): string =>
  fileURLToPath(new URL(`../../${path}`, import.meta.url));
const PACKAGES = ['core', 'host'] as const;
const ENTRIES = PACKAGES.map((name) => workspace(`packages/${name}/src/index.ts`));

// INVENTED; the digests are CRC-32's check value, of "123456789", and RFC 1321's of "abc".
const MANIFEST = `firmtally: 1
title: Tern
firmware:
  osprey-boot: { path: osprey_boot.bin, dumps: [{ size: 9, crc32: cbf43926 }] }
  osprey-font:
    path: osprey_font.bin
    dumps: [{ size: 3, md5: 900150983cd24fb0d6963f7d28e17f72 }]
systems:
  osprey: { requires: [osprey-boot] }
  osprey-printer: { requires: [osprey-boot, osprey-font] }
loadouts: { pocket: [osprey] }
`;

/** What an example finds: the files of `card` and `pile`, also as folders in memory, and the manifest read. */
const PROVIDED = `
const encoder = new TextEncoder();
const bytes: Uint8Array = encoder.encode(${JSON.stringify(MANIFEST)});
function folderOf(name: string, text: string): core.FolderSource {
  const content = encoder.encode(text);
  return {
    async *list() { yield { path: name, kind: 'file', size: content.length }; },
    async *open(path, range) {
      if (path !== name) throw new core.ReadError('vanished', 'no such file');
      yield content.subarray(range?.start ?? 0, range?.end ?? content.length);
    },
  };
}
const card = folderOf('osprey_boot.bin', '123456789');
const pile = folderOf('some.dat', 'abc');
const manifest = (await core.readManifests([{ path: 'tern.yaml', bytes }])).manifest;
if (manifest === null) throw new Error('the manifest is valid');
const report = await core.audit(card, {
  manifests: manifest,
  platform: { engine: core.hashWasmEngine, archives: null },
});
`;

interface Export {
  readonly name: string;
  /** Whether it is there when the code runs; a type is not. */
  readonly isValue: boolean;
  readonly isFunction: boolean;
  readonly isAsync: boolean;
  readonly text: string;
  readonly tags: readonly { readonly name: string; readonly text: string }[];
}

function exportsOf(program: ts.Program, entry: string): Export[] {
  const checker = program.getTypeChecker();
  const file = program.getSourceFile(entry);
  const module = file === undefined ? undefined : checker.getSymbolAtLocation(file);
  if (module === undefined) throw new Error(`${entry} is no module`);
  return checker.getExportsOfModule(module).map((exported) => {
    const isAlias = (exported.flags & ts.SymbolFlags.Alias) !== 0;
    const symbol = isAlias ? checker.getAliasedSymbol(exported) : exported;
    const [signature] = checker.getTypeOfSymbol(symbol).getCallSignatures();
    const returns = signature === undefined ? '' : checker.typeToString(signature.getReturnType());
    return {
      name: exported.name,
      isValue: (symbol.flags & ts.SymbolFlags.Value) !== 0,
      isFunction: (symbol.flags & ts.SymbolFlags.Function) !== 0,
      isAsync: returns.startsWith('Promise<'),
      text: ts.displayPartsToString(symbol.getDocumentationComment(checker)),
      tags: symbol
        .getJsDocTags(checker)
        .map(({ name, text }) => ({ name, text: ts.displayPartsToString(text) })),
    };
  });
}

/** The example as statements that throw where a claim is not so; how many claims it makes. */
function compiled(example: string): { readonly code: string; readonly claims: number } {
  const lines = example
    .split('\n')
    .filter((line) => !line.startsWith('```'))
    .join('\n')
    // A claim too long for its line stands below it.
    .replaceAll(/;\n\/\/ => /gu, '; // => ')
    .split('\n');
  let claims = 0;
  const code = lines.map((line) => {
    const claim = /^(.*); \/\/ => (.*)$/u.exec(line);
    if (claim === null) return line;
    claims += 1;
    return `assert.deepStrictEqual(${claim[1] ?? ''}, ${claim[2] ?? ''});`;
  });
  return { code: code.join('\n'), claims };
}

const CONFIG = ts.readConfigFile(workspace('tsconfig.base.json'), (path) => ts.sys.readFile(path));
const { options } = ts.convertCompilerOptionsFromJson(
  (CONFIG.config as { compilerOptions: object }).compilerOptions,
  workspace('.'),
);
const PROGRAM = ts.createProgram(ENTRIES, { ...options, noEmit: true, composite: false });
const EXPORTS = ENTRIES.flatMap((entry) => exportsOf(PROGRAM, entry));
const EXAMPLES = EXPORTS.flatMap(({ name, tags }) =>
  tags.filter((tag) => tag.name === 'example').map(({ text }) => ({ name, ...compiled(text) })),
);

describe('what is exported', () => {
  it('is no more than the contract allows', () => {
    const count = (entry: string): number =>
      exportsOf(PROGRAM, entry).filter(({ isValue }) => isValue).length;
    const [core = 0, host = 0] = ENTRIES.map(count);
    expect(core).toBeGreaterThan(0);
    expect(core).toBeLessThanOrEqual(60);
    expect(host).toBeGreaterThan(0);
    expect(host).toBeLessThanOrEqual(30);
  });

  it('is described', () => {
    expect(EXPORTS.filter(({ text }) => text.trim() === '').map(({ name }) => name)).toEqual([]);
  });

  it('has an example when it is a function, and says how it fails when it may', () => {
    const functions = EXPORTS.filter(({ isFunction }) => isFunction);
    expect(functions.length).toBeGreaterThan(30);
    const lacking = functions.flatMap(({ name, isAsync, tags }) => {
      const has = (tag: string): boolean => tags.some((each) => each.name === tag);
      return [
        ...(has('example') ? [] : [`${name}: @example`]),
        ...(!isAsync || has('throws') ? [] : [`${name}: @throws`]),
      ];
    });
    expect(lacking).toEqual([]);
    expect(EXAMPLES.filter(({ claims }) => claims === 0).map(({ name }) => name)).toEqual([]);
  });
});

/** All examples as one module, each in a function of its own; `from` names the packages. */
function moduleOf(from: (name: string) => string): string {
  const used = (entry: string): string =>
    exportsOf(PROGRAM, entry)
      .filter(({ isValue }) => isValue)
      .filter(({ name }) => EXAMPLES.some(({ code }) => new RegExp(`\\b${name}\\b`).test(code)))
      .map(({ name }) => name)
      .join(', ');
  const [core = '', host = ''] = ENTRIES;
  return [
    `import assert from 'node:assert/strict';`,
    `import * as core from ${JSON.stringify(from('core'))};`,
    `import { ${used(core)} } from ${JSON.stringify(from('core'))};`,
    `import { ${used(host)} } from ${JSON.stringify(from('host'))};`,
    PROVIDED,
    'const failed: string[] = [];',
    ...EXAMPLES.map(
      ({ name, code }) =>
        `try { await (async () => {\n${code}\n})(); } catch (error) { failed.push(${JSON.stringify(name)} + ': ' + String(error)); }`,
    ),
    'console.log(JSON.stringify(failed));',
    'export {};',
  ].join('\n');
}

describe('the examples', () => {
  it('compile as the code of a user', () => {
    const file = workspace('tests/examples/extracted-examples.ts');
    const text = moduleOf((name) => `@firmtally/${name}`);
    const strict = { ...options, noEmit: true, composite: false, noUnusedLocals: false };
    const host = ts.createCompilerHost(strict);
    const own = { ...host };
    own.fileExists = (path) => path === file || host.fileExists(path);
    own.readFile = (path) => (path === file ? text : host.readFile(path));
    own.getSourceFile = (path, ...rest) =>
      path === file
        ? ts.createSourceFile(file, text, options.target ?? ts.ScriptTarget.ESNext)
        : host.getSourceFile(path, ...rest);
    const program = ts.createProgram([file], { ...strict, types: ['node'] }, own);
    const problems = ts.getPreEmitDiagnostics(program, program.getSourceFile(file));
    const said = problems.map(({ messageText, start = 0 }) => {
      const line = text.slice(0, start).split('\n').length;
      const words = ts.flattenDiagnosticMessageText(messageText, ' ');
      return `${text.split('\n')[line - 1] ?? ''}: ${words}`;
    });
    expect(said).toEqual([]);
  });

  it('do what they claim', () => {
    const folder = tempFolder();
    for (const name of ['card', 'pile']) mkdirSync(join(folder, name));
    writeFileSync(join(folder, 'tern.yaml'), MANIFEST);
    writeFileSync(join(folder, 'card/osprey_boot.bin'), '123456789');
    // MD5 of "123456789", by node:crypto.
    writeFileSync(join(folder, 'card/SUMS'), '25f9e794323b453885f5181f1b624d0b  osprey_boot.bin\n');
    writeFileSync(join(folder, 'pile/some.dat'), 'abc');
    const built = (name: string): string =>
      pathToFileURL(workspace(`packages/${name}/dist/index.js`)).href;
    const { outputText } = ts.transpileModule(moduleOf(built), {
      compilerOptions: { module: ts.ModuleKind.ESNext, target: ts.ScriptTarget.ES2022 },
    });
    const script = join(folder, 'examples.mjs');
    writeFileSync(script, outputText);
    const out = execFileSync(process.execPath, [script], { cwd: folder, encoding: 'utf8' });
    expect(JSON.parse(out)).toEqual([]);
  });
});
