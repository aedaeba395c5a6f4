import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Metafile } from 'esbuild';
import { inWorkspace } from '../paths.js';

/** A package of somebody else's whose code is inside something we publish. */
export interface BundledPackage {
  readonly name: string;
  readonly version: string;
  /** SPDX expression of its package.json. */
  readonly license: string;
  /** Its licence file, whole. */
  readonly text: string;
}

/** The packages that have code in a bundle, sorted by name. */
export function packagesInBundle(outputs: Metafile['outputs']): BundledPackage[] {
  const used = Object.values(outputs).flatMap((output) =>
    Object.entries(output.inputs)
      .filter(([, input]) => input.bytesInOutput > 0)
      .map(([path]) => path),
  );
  return packagesOf(used);
}

/** The packages whose code `pnpm run generate` put into the core's generated modules (ajv's run-time helpers). */
export function packagesInGenerated(): BundledPackage[] {
  const folder = inWorkspace('packages/core/src/generated');
  const used = readdirSync(folder).flatMap((name) =>
    // esbuild names each input in a comment before its code.
    [
      ...readFileSync(join(folder, name), 'utf8').matchAll(/^\s*\/\/ (\S*node_modules\/\S+)$/gmu),
    ].map((match) => match[1] ?? ''),
  );
  return packagesOf(used);
}

function packagesOf(paths: readonly string[]): BundledPackage[] {
  const folders = new Set(paths.flatMap((path) => packageFolder(path) ?? []));
  const packages = new Map<string, BundledPackage>();
  for (const folder of folders) {
    const found = readPackage(inWorkspace(folder));
    packages.set(`${found.name}@${found.version}`, found);
  }
  return [...packages.entries()].sort(([a], [b]) => (a < b ? -1 : 1)).map(([, found]) => found);
}

/** `…/node_modules/<name>` of a path below it, seen from the workspace; null for our own files. */
function packageFolder(path: string): string | null {
  const match = /^.*node_modules\/(?:@[^/]+\/)?[^/]+(?=\/)/u.exec(path);
  return match === null ? null : match[0].replace(/^(?:\.\.\/)+/u, '');
}

function readPackage(folder: string): BundledPackage {
  const about = JSON.parse(readFileSync(join(folder, 'package.json'), 'utf8')) as {
    name: string;
    version: string;
    license?: string;
  };
  const file = readdirSync(folder).find((name) => /^(?:licen[cs]e|copying)(?:[.-]|$)/iu.test(name));
  if (file === undefined || about.license === undefined) {
    throw new Error(`${folder}: no licence file; its code may not be bundled`);
  }
  return {
    name: about.name,
    version: about.version,
    license: about.license,
    text: readFileSync(join(folder, file), 'utf8'),
  };
}
