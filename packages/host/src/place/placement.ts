import { resolve } from 'node:path';
import {
  ReadError,
  type Manifest,
  type Origin,
  type Outlook,
  type PlanOptions,
  type Selection,
  type SelectionRequest,
  type TaskOptions,
} from '@firmtally/core';
import {
  buildInventory,
  manifestOf,
  outlook,
  Pile,
  ProgressCount,
  selectSome,
  type Inventory,
  type OriginFile,
} from '@firmtally/core/internal';
import { manifestFiles } from '../audit/manifest-files.js';
import { defaultJobs } from '../digest/digester.js';
import { resolveLinks } from '../folder/native-path.js';
import { openFolder, type HostFolder } from '../folder/open-folder.js';
import { withSlashes } from '../folder/with-slashes.js';
import { nodePlatform, type HostManifestOptions } from '../platform.js';
import { applyPlan, type PlanResult, type StepResult } from './apply-plan.js';
import { openCard, type CardFs } from './card-fs.js';
import { clearLeftovers, type LeftoverResult } from './clear-leftovers.js';
import { openOrigin } from './open-origin.js';
import { refuseSharedFolders } from './overlap.js';
import { PlaceStopped } from './place-error.js';
import { refuseDoubtful } from './refusals.js';
import { openSources, type PlacedSource } from './sources.js';

/** Which systems are to become ready by a placement, and what is known of the card. */
export interface PlacementOptions
  extends HostManifestOptions, SelectionRequest, Pick<PlanOptions, 'repair'> {
  /** Bytes of a cluster; what the card says when not given. */
  readonly clusterSize?: number | undefined;
  /** Put between placing and the card, for instance to test what a failing card does. */
  readonly wrapCard?: ((card: CardFs) => CardFs) | undefined;
}

/** What an {@link Placement.apply} is told to do, and tells. */
export interface ApplyOptions extends TaskOptions {
  /** Places although the folder seems not to be the one that the manifest means. */
  readonly anyway?: boolean | undefined;
  /** Told the plan that is about to be carried out; the steps wait for it. */
  readonly onPlan?: ((outlook: Outlook) => void | Promise<void>) | undefined;
  /** Told what became of each step, as soon as that is known; the next one waits for it. */
  readonly onResult?: ((result: StepResult, index: number) => void | Promise<void>) | undefined;
}

/** What {@link Placement.apply} did. */
export interface Applied {
  /** How the card stood, and what was planned. */
  readonly before: Outlook;
  /** What became of what earlier runs had left. */
  readonly leftovers: readonly LeftoverResult[];
  /** One for each step, in order. */
  readonly results: readonly StepResult[];
  /** Why not every step was tried; null when each was. */
  readonly stopped: PlaceStopped | null;
  /** How the card stands now; null when it is gone. */
  readonly after: Outlook | null;
}

/** Plans, and does, what makes the selected systems of a card ready. */
export interface Placement {
  /** What the card is held against. */
  readonly manifest: Manifest;
  /** The systems asked for, and the firmware they name. */
  readonly selection: Selection;
  /** Looks at the card and the pile, and plans. Writes nothing. Rejects with the signal's reason, and what a callback throws. */
  look(options?: TaskOptions): Promise<Outlook>;
  /**
   * Looks, settles what a killed run left, carries the plan out, and looks
   * again. A step that fails leaves the card as it was, and the next is tried;
   * a full, read-only or vanished card, or the signal, ends the steps.
   *
   * @throws FirmtallyError('place-failed') before anything is written, when
   *   there is no room, or ('root-doubtful') when the folder seems not to be the card's own
   */
  apply(options?: ApplyOptions): Promise<Applied>;
}

/**
 * Opens a card, and what to place from: manifests are read, and the sources are listed; nothing of them is read yet.
 *
 * @param card folder of the card, absolute or relative to `cwd`
 * @param sources folders and files to place from; never modified
 * @throws FirmtallyError `root-unreadable`, `io-error` for a source that is neither file nor folder, `usage` when one
 *   is on the card or holds it, `manifest-unreadable`, `manifest-invalid` (also where nothing is selected),
 *   `unknown-system`, `unknown-loadout`; the signal's reason; what a callback throws
 * @example
 * const placement = await openPlacement('card', ['pile'], { manifests: ['tern.yaml'] });
 * const { plan } = await placement.look();
 * plan.steps.length; // => 1
 * const { results } = await placement.apply();
 * results.map(({ outcome }) => outcome); // => ['done']
 */
export async function openPlacement(
  card: string,
  sources: readonly string[],
  options: PlacementOptions,
): Promise<Placement> {
  const { signal, onNotice, cwd = process.cwd(), jobs = defaultJobs() } = options;
  signal?.throwIfAborted();
  const manifests = await manifestFiles(options.manifests, cwd);
  const manifest = await manifestOf(manifests, nodePlatform.engine);
  const selection = selectSome(manifest, options);
  const path = resolve(cwd, card);
  const digesting = { jobs, onNotice };
  const folder = await openFolder(card, { ...digesting, cwd });
  const opened = await openSources(sources, cwd, resolveLinks(path), digesting);
  const count = new ProgressCount(options.onProgress);
  count.start('list');
  const pile = await Pile.of(opened, count, signal);
  const fs = await openCard(path);
  const written = options.wrapCard?.(fs) ?? fs;
  return new OpenPlacement(card, manifest, selection, folder, written, opened, pile, {
    ...options,
    jobs,
  });
}

class OpenPlacement implements Placement {
  readonly manifest: Manifest;
  readonly selection: Selection;
  /** As it was named. */
  readonly #name: string;
  readonly #folder: HostFolder;
  readonly #card: CardFs;
  readonly #sources: readonly PlacedSource[];
  readonly #pile: Pile;
  readonly #options: PlacementOptions & { readonly jobs: number };
  /** Whether the folders of the pile and the card were compared. */
  #compared = false;

  constructor(
    name: string,
    manifest: Manifest,
    selection: Selection,
    folder: HostFolder,
    card: CardFs,
    sources: readonly PlacedSource[],
    pile: Pile,
    options: PlacementOptions & { readonly jobs: number },
  ) {
    this.#name = name;
    this.manifest = manifest;
    this.selection = selection;
    this.#folder = folder;
    this.#card = card;
    this.#sources = sources;
    this.#pile = pile;
    this.#options = options;
  }

  async look({ signal, onProgress }: TaskOptions = {}): Promise<Outlook> {
    const { repair, clusterSize, jobs } = this.#options;
    const count = new ProgressCount(onProgress);
    count.start('list');
    signal?.throwIfAborted();
    const listed = await buildInventory(this.#folder, { signal, count });
    this.#refuseSharedFolders(listed);
    const space = await this.#card.space();
    try {
      return await outlook({
        card: this.#folder,
        listed,
        pile: this.#pile,
        manifest: this.manifest,
        selection: this.selection,
        platform: nodePlatform,
        rootPath: withSlashes(this.#folder.confinedTo),
        repair,
        clusterSize: clusterSize ?? space?.clusterSize,
        free: space?.free,
        // One file waits for each that is being hashed, so that no thread does.
        jobs: 2 * jobs,
        signal,
        count,
      });
    } finally {
      for (const { folder } of [{ folder: this.#folder }, ...this.#sources]) await folder.close();
    }
  }

  async apply(options: ApplyOptions = {}): Promise<Applied> {
    const anyway = options.anyway === true;
    let before = await this.look(options);
    refuseDoubtful(this.#name, before, anyway);
    const leftovers: LeftoverResult[] = [];
    if (before.leftovers.length > 0) {
      leftovers.push(...(await clearLeftovers(before.leftovers, this.#card)));
      before = await this.look(options).catch((error: unknown) => {
        throw options.signal?.aborted === true ? interruptedAfterSettling() : error;
      });
      refuseDoubtful(this.#name, before, anyway);
    }
    await options.onPlan?.(before);
    const { results, stopped } = await this.#do(before, options);
    const after =
      stopped?.code === 'card-gone' ? null : await this.look({ onProgress: options.onProgress });
    return { before, leftovers, results, stopped, after };
  }

  /** Each byte is written once and read back once. */
  #do({ plan }: Outlook, { signal, onProgress, onResult }: ApplyOptions): Promise<PlanResult> {
    const progress = new ProgressCount(onProgress);
    const bytes = plan.steps.reduce((sum, { size }) => sum + 2 * size, 0);
    progress.start('place', { files: plan.steps.length, bytes });
    const locate = (origin: Origin): Promise<OriginFile> => this.#locate(origin);
    return applyPlan(plan, {
      ...nodePlatform,
      card: this.#card,
      open: (from, remedy) => openOrigin(from, remedy, locate, nodePlatform.archives),
      ...(signal === undefined ? {} : { signal }),
      onStep: (step) => progress.advance(0, step.to),
      onBytes: (count) => progress.advance(count),
      onResult: async (result, index) => {
        progress.done(result.step.to);
        await onResult?.(result, index);
      },
    });
  }

  /** Once: the pile was listed once too. */
  #refuseSharedFolders({ entries }: Inventory): void {
    if (this.#compared) return;
    const card = { path: this.#folder.confinedTo, entries };
    for (const [at, { name, kind, at: path }] of this.#sources.entries()) {
      const inside = kind === 'folder' ? (this.#pile.places[at]?.entries ?? []) : [];
      refuseSharedFolders(name, { path, entries: inside }, card);
    }
    this.#compared = true;
  }

  async #locate(origin: Origin): Promise<OriginFile> {
    if (origin.source === null) {
      const size = (await this.#card.stat(origin.path))?.size ?? 0;
      return { files: this.#folder, path: origin.path, size };
    }
    const found = this.#pile.locate(origin);
    if (found === null) throw new ReadError('vanished', `no source ${origin.source}`);
    return found;
  }
}

/** Something was written by then, if only to clear up. */
function interruptedAfterSettling(): PlaceStopped {
  return new PlaceStopped(
    'interrupted',
    'Interrupted: what an earlier run had left is cleared up, and no step was begun.',
  );
}
