import type { PileSource } from '../bytes/source.js';
import { checkedPlatform } from '../digest/checked.js';
import type { SourceTaskOptions } from '../digest/source-task.js';
import { FirmtallyError } from '../errors.js';
import { manifestOf } from '../manifest/manifest-of.js';
import type { ManifestFile } from '../manifest/read-manifests.js';
import { draftFiles } from './draft-folder.js';
import { draftLists, type ListFile } from './draft-lists.js';
import type { Drafted } from './model.js';
import { intoOption, writeDraft } from './write-draft.js';

/** Where the entries of a {@link draft} belong, and how it is written. */
export interface DraftOptions extends SourceTaskOptions {
  /** The folder that the drafted paths start from, relative to the root; `.` is the root. */
  readonly folder?: string | undefined;
  /** Id of the one system all files are for. Default: by the list's column, else by folders. */
  readonly system?: string | undefined;
  /** A manifest that the entries are added to; its comments, order and formatting stay. */
  readonly into?: ManifestFile | undefined;
  /** Whether a ZIP is drafted as the file it is, not by its members. */
  readonly whole?: boolean | undefined;
  /** Of a manifest of its own; not together with `into`. Default: yaml. */
  readonly format?: 'yaml' | 'json' | undefined;
  /**
   * Lines for the comment at the head of YAML of its own, say where an editor
   * finds the schema: `yaml-language-server: $schema=./firmtally-manifest.schema.json`.
   */
  readonly comment?: readonly string[] | undefined;
}

/** A drafted manifest, and what is to be known of it. */
export interface DraftedManifest {
  /** The manifest, valid; null when nothing was found to draft. */
  readonly text: string | null;
  /** What is in it, what was left out, and what is doubtful. */
  readonly drafted: Drafted;
}

/**
 * Drafts a manifest: from folders, files and ZIPs that are known to be good, or
 * from lists that somebody posted, where every value is the list's word. The
 * `name` of a source is that of the system of the files directly in it.
 *
 * @throws FirmtallyError `usage` when an option cannot be meant, lists and files are mixed, or there is more than
 *   one manifest may hold; `list-invalid`; `manifest-invalid` when the manifest to add to has errors, or the result
 *   would not be valid; `source-invalid`, `engine-invalid`, `archives-invalid`; the signal's reason; what a callback throws
 * @example
 * const platform = { engine: hashWasmEngine, archives: null };
 * const list = new TextEncoder().encode('cbf43926  osprey_boot.bin\n');
 * const { text, drafted } = await draft([{ path: 'posted.txt', bytes: list }], { platform });
 * drafted.firmware.map(({ path }) => path); // => ['osprey_boot.bin']
 * text?.startsWith('# Draft'); // => true
 */
export async function draft(
  sources: readonly (PileSource | ListFile)[],
  options: DraftOptions,
): Promise<DraftedManifest> {
  const { signal, format, folder, system, whole, comment } = options;
  signal?.throwIfAborted();
  if (options.into !== undefined && format !== undefined) {
    throw new FirmtallyError(
      'usage',
      'a format and a manifest to add to exclude each other',
      'A manifest keeps the format it is written in.',
    );
  }
  const platform = checkedPlatform(options.platform, signal);
  const { engine } = platform;
  const into =
    options.into === undefined
      ? undefined
      : { file: options.into, manifest: await manifestOf([options.into], engine) };
  const entries = {
    ...(folder === undefined ? {} : { folder }),
    ...(system === undefined ? {} : { system }),
    ...(into === undefined ? {} : { into: intoOption(into) }),
  };
  const lists = sources.filter((source) => 'bytes' in source);
  const piles = sources.filter((source) => 'folder' in source);
  if (lists.length > 0 && piles.length > 0) {
    throw new FirmtallyError(
      'usage',
      'lists and files are not drafted together',
      'Draft the files, and add the lists to that manifest.',
    );
  }
  const drafted =
    lists.length > 0
      ? draftLists(lists, entries)
      : await draftFiles(piles, {
          ...entries,
          platform: whole === true ? { engine, archives: null } : platform,
          onProgress: options.onProgress,
          jobs: options.jobs,
          signal,
        });
  signal?.throwIfAborted();
  if (drafted.firmware.length === 0 && drafted.systems.length === 0 && into === undefined) {
    return { text: null, drafted };
  }
  return { text: await writeDraft(drafted, { engine, format, comment, into }), drafted };
}
