import type { DigestEngine } from '../digest/engine.js';
import { FirmtallyError } from '../errors.js';
import { MAX_MANIFEST_BYTES } from '../manifest/limits.js';
import type { Manifest } from '../manifest/model.js';
import { readManifests, type ManifestFile } from '../manifest/read-manifests.js';
import { addToManifest, folderIn } from './into/add-to-manifest.js';
import type { Drafted, EntryOptions } from './model.js';
import { renderDraftJson, renderDraftYaml } from './render-draft.js';

/** A manifest that is to be added to, and what it says. */
export interface IntoManifest {
  readonly file: ManifestFile;
  readonly manifest: Manifest;
}

/** What drafting has to know of the manifest that is added to. */
export function intoOption({ file, manifest }: IntoManifest): NonNullable<EntryOptions['into']> {
  return { manifest, folder: folderIn(file) };
}

export interface WriteDraftOptions {
  /** Of a manifest of its own; one that is added to keeps its format. Default: yaml. */
  readonly format?: 'yaml' | 'json' | undefined;
  readonly into?: IntoManifest | undefined;
  /** Lines for the comment at the head of YAML of its own. */
  readonly comment?: readonly string[] | undefined;
  /** For the SHA-256 that reading it again takes; hash-wasm by default. */
  readonly engine?: DigestEngine | undefined;
}

/**
 * The text of a draft as a manifest, or of the manifest with it added: read
 * again, and valid.
 *
 * @throws FirmtallyError('usage') when it is larger than a manifest may be,
 * ('manifest-invalid') when it would not be valid, or cannot be added to
 */
export async function writeDraft(drafted: Drafted, options: WriteDraftOptions): Promise<string> {
  const { into, format, comment, engine } = options;
  const text =
    into !== undefined
      ? await addToManifest(into.file, into.manifest, drafted, engine)
      : format === 'json'
        ? renderDraftJson(drafted)
        : renderDraftYaml(drafted, comment);
  const bytes = new TextEncoder().encode(text);
  if (bytes.length > MAX_MANIFEST_BYTES) {
    throw new FirmtallyError(
      'usage',
      `the draft is larger than the ${MAX_MANIFEST_BYTES >> 20} MiB a manifest may have`,
      'Draft it in parts; several manifests can be used together.',
    );
  }
  if (into === undefined) await checkValid(bytes, engine);
  return text;
}

/** Nothing that is drafted should come to this; a manifest that is refused later would be worse. */
async function checkValid(bytes: Uint8Array, engine: DigestEngine | undefined): Promise<void> {
  const files = [{ path: 'draft', bytes }];
  const { manifest, problems } = await readManifests(files, engine === undefined ? {} : { engine });
  if (manifest !== null) return;
  const error = problems.find(({ severity }) => severity === 'error');
  throw new FirmtallyError(
    'manifest-invalid',
    `the draft would not be a valid manifest: ${error?.message ?? ''}`,
    'Nothing was written. Leave out or rename what the message names.',
  );
}
