import {
  draft,
  FirmtallyError,
  formatProblems,
  MAX_MANIFEST_BYTES,
  readManifests,
  type Manifest,
  type ManifestFile,
} from '@firmtally/core';
import { remarksOf } from '@firmtally/core/internal';
import { browserPlatform } from './hash/pool.js';

/** Larger files are no manifests and no lists; core says so, and need not be given more. */
const MAX_BYTES = MAX_MANIFEST_BYTES + 1;

/** What came of choosing manifests or posted lists. */
export interface ManifestChoice {
  /** Null when it has errors, or nothing could be made of it. */
  readonly manifest: Manifest | null;
  /** One sentence for the person. */
  readonly said: string;
  /** Problems with their frames, or what a list left out; '' when there is nothing to show. */
  readonly details: string;
  /** The drafted manifest's text; null when manifests were chosen. */
  readonly drafted: string | null;
}

/** Reads chosen manifests; their problems are those that `validate` shows. */
export async function fromManifests(files: readonly File[]): Promise<ManifestChoice> {
  return read(await bytesOf(files));
}

/** Drafts a manifest from posted lists. Every value is the list's word: no file was read. */
export async function fromLists(files: readonly File[]): Promise<ManifestChoice> {
  try {
    const { text, drafted } = await draft(await bytesOf(files), { platform: browserPlatform });
    const { leftOut, notes } = remarksOf(drafted);
    const details = [...leftOut, ...notes].join('\n');
    if (text === null) {
      const said = 'No line of the list names a file with a checksum.';
      return { manifest: null, said, details, drafted: null };
    }
    const { manifest } = await readManifests([
      { path: 'drafted.yaml', bytes: new TextEncoder().encode(text) },
    ]);
    const skipped =
      leftOut.length === 0 ? '' : ` ${String(leftOut.length)} lines were not used; see below.`;
    const said = `A manifest of ${String(drafted.firmware.length)} files was drafted from the list, not checked against any file.${skipped}`;
    return { manifest, said, details, drafted: text };
  } catch (error) {
    if (!(error instanceof FirmtallyError)) throw error;
    return { manifest: null, said: words(error), details: '', drafted: null };
  }
}

/** What an error of the library says to a person. */
export function words({ message, remedy }: FirmtallyError): string {
  return remedy === null ? message : `${message} ${remedy}`;
}

async function read(files: readonly ManifestFile[]): Promise<ManifestChoice> {
  const { manifest, problems } = await readManifests(files);
  const details = formatProblems(problems, new Map(files.map(({ path, bytes }) => [path, bytes])));
  if (manifest === null) {
    const errors = problems.filter(({ severity }) => severity === 'error').length;
    const said = `The manifest has ${errors === 1 ? 'an error' : `${String(errors)} errors`}; see below.`;
    return { manifest, said, details, drafted: null };
  }
  const { systems, firmware, loadouts } = manifest;
  const warnings = problems.length === 0 ? '' : ` ${String(problems.length)} warnings; see below.`;
  const said = `Valid: ${String(systems.size)} systems, ${String(firmware.size)} firmware, ${String(loadouts.size)} loadouts.${warnings}`;
  return { manifest, said, details, drafted: null };
}

function bytesOf(files: readonly File[]): Promise<{ path: string; bytes: Uint8Array }[]> {
  return Promise.all(
    files.map(async (file) => ({
      path: file.name,
      bytes: new Uint8Array(await file.slice(0, MAX_BYTES).arrayBuffer()),
    })),
  );
}
