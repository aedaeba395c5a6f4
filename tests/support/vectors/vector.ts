import { mkdirSync, readdirSync, readFileSync, symlinkSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { Met, Readiness, Verdict } from '@firmtally/core';
import { parse } from 'yaml';
import { digestsOf, type MemoryItem } from '../memory-folder.js';
import { bytesOf, type NamedBytes, type Recipe } from './recipe.js';

/** What stands at a path. */
type TreeItem =
  Recipe | { readonly folder: true } | { readonly link: string } | { readonly outside: true };

export interface ExpectedRow {
  readonly verdict: Verdict;
  readonly foundAt?: string | null;
  readonly judged?: string | null;
  readonly diagnosis?: string | null;
  readonly dump?: string | null;
  readonly facts?: readonly string[];
  readonly advice?: string;
}

/** One scenario; tests/vectors/README.md describes the files. */
export interface Vector {
  readonly name: string;
  readonly about: string;
  readonly bytes?: NamedBytes;
  readonly manifest: Readonly<Record<string, unknown>>;
  /** What the root is called; 'card' when nothing is said. May have several parts. */
  readonly root?: string;
  readonly tree: Readonly<Record<string, TreeItem>>;
  readonly options?: {
    readonly loadout?: string;
    readonly systems?: readonly string[];
    readonly wide?: boolean;
    readonly strict?: boolean;
    readonly strays?: boolean;
  };
  readonly expect: {
    readonly firmware: Readonly<Record<string, Verdict | ExpectedRow>>;
    readonly systems: Readonly<
      Record<
        string,
        {
          readonly readiness: Readiness;
          readonly met: readonly Met[];
          readonly satisfiedBy?: readonly (string | null)[];
          readonly optional?: string;
          readonly found?: readonly number[];
        }
      >
    >;
    readonly toGet: readonly {
      readonly anyOf: readonly string[];
      readonly systems: readonly string[];
      readonly optional?: boolean;
      readonly facts?: readonly string[];
    }[];
    readonly hints?: readonly Readonly<Record<string, unknown>>[];
    readonly strays?: readonly string[];
    readonly faults?: Readonly<Record<string, string>>;
  };
}

const FOLDER = fileURLToPath(new URL('../../vectors/scenarios/', import.meta.url));

/** Every scenario, by name. */
export function loadVectors(): Vector[] {
  return readdirSync(FOLDER)
    .filter((file) => file.endsWith('.yaml'))
    .sort()
    .map((file) => {
      const vector = parse(readFileSync(join(FOLDER, file), 'utf8')) as Omit<Vector, 'name'>;
      return { ...vector, name: file.replace(/\.yaml$/, '') };
    });
}

/** The manifest, with digests in place of names of bytes. JSON, so that nothing depends on how YAML reads. */
export function manifestText(vector: Vector): string {
  return `${JSON.stringify(resolved(vector.manifest, vector), null, 2)}\n`;
}

const GIVEN = ['size', 'crc32', 'md5', 'sha1'] as const;

function resolved(part: unknown, vector: Vector): unknown {
  if (Array.isArray(part)) return part.map((item) => resolved(item, vector));
  if (typeof part !== 'object' || part === null) return part;
  if (!('is' in part)) {
    return Object.fromEntries(
      Object.entries(part).map(([key, value]) => [key, resolved(value, vector)]),
    );
  }
  const {
    is,
    gives = GIVEN,
    ...own
  } = part as { is: Recipe; gives?: readonly string[] } & Record<string, unknown>;
  const bytes = bytesOf(is, vector.bytes ?? {});
  const values: Record<string, unknown> = {
    size: bytes.length,
    ...digestsOf(bytes, ['crc32', 'md5', 'sha1', 'sha256']),
  };
  return { ...Object.fromEntries(gives.map((name) => [name, values[name]])), ...own };
}

/** The tree for a folder in memory. */
export function memoryTree(vector: Vector): ReadonlyMap<string, MemoryItem> {
  const items = new Map<string, MemoryItem>();
  for (const [path, item] of Object.entries(vector.tree)) {
    if (typeof item === 'object' && 'folder' in item) items.set(path, { kind: 'folder' });
    else if (typeof item === 'object' && 'outside' in item) items.set(path, item);
    else if (typeof item === 'object' && 'link' in item) items.set(path, item);
    else items.set(path, bytesOf(item, vector.bytes ?? {}));
  }
  // A real folder lists the folders that its files are in.
  for (const path of [...items.keys()]) {
    for (const above of foldersAbove(path)) {
      if (!items.has(above)) items.set(above, { kind: 'folder' });
    }
  }
  return items;
}

/** Writes the tree below a folder that exists. */
export function writeTree(vector: Vector, root: string): void {
  for (const [path, item] of Object.entries(vector.tree)) {
    const at = join(root, ...path.split('/'));
    mkdirSync(dirname(at), { recursive: true });
    if (typeof item === 'object' && 'folder' in item) mkdirSync(at, { recursive: true });
    else if (typeof item === 'object' && 'outside' in item) symlinkSync('/', at);
    else if (typeof item === 'object' && 'link' in item) {
      symlinkSync('../'.repeat(path.split('/').length - 1) + item.link, at);
    } else writeFileSync(at, bytesOf(item, vector.bytes ?? {}));
  }
}

/** The folders that lead to the root, below any other. */
export function rootOf(vector: Vector): string {
  return vector.root ?? 'card';
}

/** Why this machine's file system cannot hold the tree; null when it can. */
export function cannotHold(vector: Vector): string | null {
  const paths = Object.keys(vector.tree);
  const links = Object.values(vector.tree).some(
    (item) => typeof item === 'object' && ('link' in item || 'outside' in item),
  );
  if (process.platform === 'win32' && links) return 'links need a privilege on Windows';
  // Folders too: two of one folded name would be one.
  const all = new Set(paths.flatMap((path) => [path, ...foldersAbove(path)]));
  const folded = new Set([...all].map((path) => path.toLowerCase()));
  if (process.platform !== 'linux' && folded.size < all.size) {
    return 'this file system does not tell letter case apart';
  }
  if (process.platform === 'darwin' && paths.some((path) => path !== path.normalize('NFD'))) {
    return 'this file system changes the form of names';
  }
  return null;
}

function foldersAbove(path: string): string[] {
  const parts = path.split('/');
  return parts.slice(1).map((_, index) => parts.slice(0, index + 1).join('/'));
}
