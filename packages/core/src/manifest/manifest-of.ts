import type { DigestEngine } from '../digest/engine.js';
import type { SourceTaskOptions } from '../digest/source-task.js';
import { FirmtallyError } from '../errors.js';
import type { Manifest } from './model.js';
import { readManifests, type ManifestFile } from './read-manifests.js';

/** Files that belong together, or a manifest that was read already. */
export type Manifests = readonly ManifestFile[] | Manifest;

/** Given to every task that holds files against manifests. */
export interface ManifestTaskOptions extends SourceTaskOptions {
  /** Manifest files, which are read and merged, or a manifest that was read already. */
  readonly manifests: Manifests;
}

/** The manifest that is meant. Throws FirmtallyError `manifest-invalid`, which names the first error and how many more there are. */
export async function manifestOf(manifests: Manifests, engine: DigestEngine): Promise<Manifest> {
  if ('firmware' in manifests) return manifests;
  const { manifest, problems } = await readManifests(manifests, { engine });
  if (manifest !== null) return manifest;
  const errors = problems.filter(({ severity }) => severity === 'error');
  const [first] = errors;
  const more = errors.length > 1 ? `; ${String(errors.length - 1)} more` : '';
  throw new FirmtallyError(
    'manifest-invalid',
    first === undefined
      ? `${manifests.map(({ path }) => path).join(', ')}: not a manifest`
      : `${first.file}:${String(first.line)}:${String(first.column)}: ${first.message} [${first.rule}]${more}`,
    'Correct the manifest, and try again.',
  );
}
