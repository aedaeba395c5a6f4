import type { DigestEngine } from '../digest/engine.js';
import { hashWasmEngine } from '../digest/hash-wasm-engine.js';
import { digestBytes } from '../digest/stream.js';
import { buildManifest } from './build.js';
import type { WrittenFile } from './written.js';
import { MAX_MANIFEST_BYTES } from './limits.js';
import type { Manifest, ManifestSource } from './model.js';
import { decodeManifest } from './parse/decode.js';
import { parseText } from './parse/parse-text.js';
import { SourceText } from './parse/source-text.js';
import type { Problem } from './problem.js';
import { sortProblems } from './problem-order.js';
import { CHECKED_RULES } from './rules/index.js';
import { readWritten } from './shape/read-written.js';
import { ownDocument } from './shape/own-document.js';
import { reportSchemaProblems } from './shape/schema-problems.js';
import { ProblemList, leftOutProblems } from './rules/problem-list.js';
import { Suggester } from './rules/suggester.js';
import { notAManifest, tooLarge } from './rules/whole-file.js';

/** One manifest file as it was read. */
export interface ManifestFile {
  /** As problems and reports name it. */
  readonly path: string;
  readonly bytes: Uint8Array;
}

/** What reading manifests gave. */
export interface ManifestResult {
  /** All files merged; null exactly when a problem is an error. */
  readonly manifest: Manifest | null;
  /**
   * By file in the order given, then line and column; each once. At most 10,000
   * errors and as many warnings; `too-many-problems` at the end says when there are more.
   */
  readonly problems: readonly Problem[];
}

/** How manifests are read. */
export interface ReadOptions {
  /** For the SHA-256 of each file; hash-wasm by default. */
  readonly engine?: DigestEngine;
  /** That more files belong to these, which could not be read: then nothing is said of what is not there. */
  readonly incomplete?: boolean;
}

/**
 * Reads and checks manifests, YAML 1.2 or JSON, and merges them. Finds every
 * problem in one run and never throws on account of what the files hold.
 *
 * @throws what the engine throws
 * @example
 * const { manifest, problems } = await readManifests([{ path: 'tern.yaml', bytes }]);
 * problems; // => []
 * [...(manifest?.systems.keys() ?? [])]; // => ['osprey', 'osprey-printer']
 */
export async function readManifests(
  files: readonly ManifestFile[],
  options: ReadOptions = {},
): Promise<ManifestResult> {
  const list = new ProblemList();
  const suggester = new Suggester();
  const written: WrittenFile[] = [];
  for (const file of files) {
    const read = await readFile(file, list, suggester);
    if (read !== null) written.push(read);
  }
  const complete =
    options.incomplete !== true &&
    written.length === files.length &&
    !written.some(({ damaged }) => damaged);
  for (const rule of CHECKED_RULES) {
    rule.check({
      files: written,
      // What was left out may say why something else is not there.
      complete: complete && list.firstLeftOut('error') === null,
      problems: list,
      suggester,
    });
  }
  const problems = [
    ...sortProblems(
      list.all,
      files.map(({ path }) => path),
    ),
    ...leftOutProblems(list),
  ];
  if (problems.some(({ severity }) => severity === 'error')) return { manifest: null, problems };
  const sources: ManifestSource[] = [];
  for (const [index, { path, bytes }] of files.entries()) {
    const engine = options.engine ?? hashWasmEngine;
    const digests = await digestBytes(bytes, ['sha256'], engine);
    sources.push({ path, sha256: digests.sha256 ?? '', title: written[index]?.title ?? null });
  }
  return { manifest: buildManifest(written, sources), problems };
}

async function readFile(
  { path, bytes }: ManifestFile,
  problems: ProblemList,
  suggester: Suggester,
): Promise<WrittenFile | null> {
  if (bytes.length > MAX_MANIFEST_BYTES) {
    const source = new SourceText(path, '');
    problems.add(
      tooLarge,
      { source, range: { start: 0, end: 0 }, pointer: '' },
      {
        message: 'This file is larger than 4 MiB, which no manifest is.',
        advice: 'check that it is the right file, or split it',
      },
    );
    return null;
  }
  const source = decodeManifest(path, bytes, problems);
  if (source === null) return null;
  const parsed = await parseText(source, problems, suggester);
  if (parsed === null) return null;
  const own = ownDocument(parsed.value);
  if (own !== null) {
    problems.add(
      notAManifest,
      { source, range: { start: 0, end: 0 }, pointer: '' },
      {
        message: `This is the JSON of a Firmtally ${own}, not a manifest.`,
        advice: 'name the manifest instead',
      },
    );
    return null;
  }
  return readWritten(parsed, reportSchemaProblems(parsed, problems));
}
