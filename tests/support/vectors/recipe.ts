import { gzipSync } from 'node:zlib';
import { makeZip } from '../zip.js';

/** How some bytes are made; tests/vectors/README.md says what each form means. A string names other bytes. */
export type Recipe =
  | string
  | { readonly seed: number; readonly size: number }
  | { readonly text: string }
  | { readonly fill: number; readonly size: number }
  | { readonly of: Recipe; readonly cut: number }
  | { readonly of: Recipe; readonly before: Recipe }
  | { readonly of: Recipe; readonly after: Recipe }
  | { readonly of: Recipe; readonly flip: number }
  | { readonly of: Recipe; readonly swap: 2 | 4 }
  | { readonly of: Recipe; readonly halves: true }
  | { readonly of: Recipe; readonly times: number }
  | { readonly of: Recipe; readonly mixed: true }
  | { readonly of: Recipe; readonly crlf: true }
  | { readonly gzip: Recipe }
  | { readonly zip: Readonly<Record<string, Recipe>> };

export type NamedBytes = Readonly<Record<string, Recipe>>;

/** Makes the bytes of a recipe. Throws for a name or a form that is not known. */
export function bytesOf(recipe: Recipe, named: NamedBytes): Buffer {
  const make = (inner: Recipe): Buffer => bytesOf(inner, named);
  if (typeof recipe === 'string') {
    const known = named[recipe];
    if (known === undefined) throw new Error(`no bytes are called ${recipe}`);
    return make(known);
  }
  if ('seed' in recipe) return random(recipe.seed, recipe.size);
  if ('text' in recipe) return Buffer.from(recipe.text);
  if ('fill' in recipe) return Buffer.alloc(recipe.size, recipe.fill);
  if ('gzip' in recipe) return gzipSync(make(recipe.gzip), { level: 9 });
  if ('zip' in recipe) {
    return makeZip(
      Object.entries(recipe.zip).map(([path, inner]) => ({ path, bytes: make(inner) })),
    );
  }
  const bytes = make(recipe.of);
  if ('cut' in recipe) return bytes.subarray(0, recipe.cut);
  if ('before' in recipe) return Buffer.concat([make(recipe.before), bytes]);
  if ('after' in recipe) return Buffer.concat([bytes, make(recipe.after)]);
  if ('times' in recipe) return Buffer.concat(Array<Buffer>(recipe.times).fill(bytes));
  if ('flip' in recipe) {
    return Buffer.from(bytes.map((byte, at) => (at === recipe.flip ? byte ^ 1 : byte)));
  }
  if ('swap' in recipe) {
    return grouped(bytes, recipe.swap, (group) => [...group].reverse());
  }
  if ('halves' in recipe) {
    return grouped(bytes, 4, ([a = 0, b = 0, c = 0, d = 0]) => [c, d, a, b]);
  }
  if ('mixed' in recipe) {
    const half = bytes.length / 2;
    return Buffer.from(bytes.map((_, at) => bytes[(at >> 1) + (at % 2) * half] ?? 0));
  }
  return Buffer.from(bytes.toString('latin1').replaceAll('\n', '\r\n'), 'latin1');
}

/** A linear congruential generator; which one does not matter, only that everybody can write it. */
function random(seed: number, size: number): Buffer {
  let state = seed + 1;
  return Buffer.from(
    Uint8Array.from({ length: size }, () => {
      state = (Math.imul(state, 1_103_515_245) + 12_345) >>> 0;
      return state >>> 24;
    }),
  );
}

function grouped(bytes: Buffer, unit: number, change: (group: Buffer) => number[]): Buffer {
  const parts: number[] = [];
  for (let at = 0; at < bytes.length; at += unit) {
    const group = bytes.subarray(at, at + unit);
    parts.push(...(group.length === unit ? change(group) : group));
  }
  return Buffer.from(parts);
}
