import { basename } from 'node:path';
import { FirmtallyError, MAX_MANIFEST_BYTES, type ListFile } from '@firmtally/core';
import { draftManifest, type DraftManifestOptions } from '@firmtally/host';
import { withSlashes } from '@firmtally/host/internal';
import type { Context } from '../context.js';
import { EXIT, type ExitCode } from '../exit-code.js';
import { readNamedFile, UnreadableFile } from '../read-named-file.js';
import { startProgress } from '../terminal/progress.js';
import { noticesTo } from '../trouble-text.js';
import { readManifestFile } from '../validate/read-manifest-file.js';
import { draftText } from './draft-text.js';

/** What the command line asks for. */
export interface DraftRequest {
  readonly sources: readonly string[];
  readonly list: boolean;
  readonly whole: boolean;
  readonly folder: string | null;
  readonly system: string | null;
  readonly into: string | null;
  readonly format: 'yaml' | 'json' | null;
  /** The file it is written to; null for standard output. */
  readonly output: string | null;
}

/** Drafts, tells on stderr what came of it, and writes the manifest. */
export async function runDraft(request: DraftRequest, context: Context): Promise<ExitCode> {
  const { sources, list, whole, folder, system, into, format } = request;
  // Read here, as a shell's pipe or standard input may be meant.
  const given = list ? await readLists(sources, context) : sources;
  const options: DraftManifestOptions = {
    list,
    whole,
    cwd: context.cwd,
    comment: FOR_EDITORS,
    ...(folder === null ? {} : { folder }),
    ...(system === null ? {} : { system }),
    ...(into === null ? {} : { into: await readManifestFile(into, context) }),
    ...(format === null ? {} : { format }),
  };
  const { text, drafted } = await draft(given, options, context);
  const names = given.map((each) =>
    typeof each === 'string' ? basename(each) || each : each.path,
  );
  if (text === null && drafted.leftOut.length === 0) throw nothingThere(request);
  await context.stderr.write(
    draftText({ drafted, sources: names, into, output: request.output }, context.quiet),
  );
  if (text === null) context.stdout.discard();
  else await context.stdout.write(text);
  return drafted.leftOut.length === 0 ? EXIT.good : EXIT.differs;
}

/** Editors that check YAML by a JSON Schema read the second line; docs/editors.md says more. */
const FOR_EDITORS = [
  'For checks and completion in an editor: firmtally schema manifest -o firmtally-manifest.schema.json',
  'yaml-language-server: $schema=./firmtally-manifest.schema.json',
];

async function draft(
  sources: readonly (string | ListFile)[],
  options: DraftManifestOptions,
  context: Context,
): ReturnType<typeof draftManifest> {
  const line = startProgress(context);
  try {
    return await draftManifest(sources, {
      ...options,
      onProgress: line.show,
      onNotice: noticesTo(context),
    });
  } finally {
    await line.stop();
  }
}

async function readLists(paths: readonly string[], context: Context): Promise<ListFile[]> {
  const lists: ListFile[] = [];
  for (const path of new Set(paths)) {
    try {
      const { bytes } = await readNamedFile(path, MAX_MANIFEST_BYTES, context);
      lists.push({ path: path === '-' ? '<stdin>' : withSlashes(path), bytes });
    } catch (error) {
      if (!(error instanceof UnreadableFile)) throw error;
      throw new FirmtallyError('io-error', `list ${path}: ${error.reason}`, error.remedy, {
        cause: error,
      });
    }
  }
  return lists;
}

function nothingThere({ sources, list }: DraftRequest): FirmtallyError {
  return new FirmtallyError(
    'usage',
    `${sources.join(', ')}: there is nothing to draft a manifest from`,
    list
      ? 'Name a list that has lines with a file\u2019s name and a checksum.'
      : 'Name a folder that holds firmware files.',
  );
}
