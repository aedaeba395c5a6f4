import {
  escapeText,
  FirmtallyError,
  readManifests,
  sentence,
  type Manifest,
  type ManifestFile,
} from '@firmtally/core';
import { count } from '@firmtally/core/internal';
import { findManifest, nodePlatform } from '@firmtally/host';
import { withSlashes } from '@firmtally/host/internal';
import { usage } from './arguments/arguments.js';
import type { Context } from './context.js';
import { UnreadableFile } from './read-named-file.js';
import { problemsText } from './validate/problems-text.js';
import { readManifestFile } from './validate/read-manifest-file.js';

/**
 * Reads the manifests a command was given (`-` is standard input); when none
 * was, the one in the current folder, else in one of `folders`. Problems go to
 * stderr, warnings unless quiet. Throws FirmtallyError `usage` when there is
 * none, `manifest-unreadable`, or `manifest-invalid` when there is an error in them.
 */
export async function loadManifests(
  named: readonly string[],
  folders: readonly string[],
  context: Context,
): Promise<Manifest> {
  const paths = await chooseManifests(named, folders, context);
  const { files, errors } = await readManifestFiles(paths, context);
  const [unreadable] = errors;
  if (unreadable !== undefined) throw unreadable.error;
  const { manifest, problems } = await readManifests(files, nodePlatform);
  const shown = context.quiet && manifest !== null ? [] : problems;
  if (shown.length > 0) await context.stderr.write(problemsText(shown, files, context));
  if (manifest !== null) return manifest;
  const errorCount = problems.filter(({ severity }) => severity === 'error').length;
  throw new FirmtallyError(
    'manifest-invalid',
    `${paths.length === 1 ? `${paths[0] ?? ''}: the manifest has` : 'The manifests have'} ${count(errorCount, 'error')}, shown above.`,
    'Correct them and run again; "firmtally validate" checks manifests alone.',
  );
}

/** What was named, else the manifest that lies about, which is said on stderr. */
async function chooseManifests(
  named: readonly string[],
  folders: readonly string[],
  context: Context,
): Promise<readonly string[]> {
  if (named.length > 0) return named;
  const found = findManifest(['.', ...folders]);
  if (found === null) {
    throw usage(
      'no manifest is named, and no firmtally.yaml is here',
      'Name one with -m, for example: -m tern.yaml',
    );
  }
  if (!context.quiet) {
    await context.stderr.write(`firmtally: the manifest is ${escapeText(withSlashes(found))}\n`);
  }
  return [found];
}

export interface UnreadableManifest {
  /** As it was named. */
  readonly path: string;
  readonly error: FirmtallyError;
  /** As documents have it. */
  readonly reason: { readonly code: string; readonly message: string };
}

/** The files that can be read, each path once, in the order given, and why others cannot. */
export async function readManifestFiles(
  paths: readonly string[],
  context: Context,
): Promise<{ files: ManifestFile[]; errors: UnreadableManifest[] }> {
  const files: ManifestFile[] = [];
  const errors: UnreadableManifest[] = [];
  for (const path of new Set(paths)) {
    try {
      files.push(await readManifestFile(path, context));
    } catch (error) {
      if (!(error instanceof FirmtallyError)) throw error;
      const message = error.cause instanceof UnreadableFile ? error.cause.reason : error.message;
      errors.push({ path, error, reason: { code: error.code, message: sentence(message) } });
    }
  }
  return { files, errors };
}
