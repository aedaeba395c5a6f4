import { resolve } from 'node:path';
import {
  FirmtallyError,
  ReadError,
  type Fault,
  type FirmwareVerdict,
  type Hint,
  type Leftover,
  type ListedFiles,
  type Manifest,
  type OnProgress,
  type Origin,
  type Plan,
  type SearchedSource,
  type SearchResult,
  type Selection,
  type SelectionRequest,
  type SystemRow,
} from '@firmtally/core';
import {
  buildInventory,
  findLeftovers,
  findNamesakes,
  findCandidates,
  hintsFor,
  Inventory,
  isLikelyOnCard,
  judgeFirmware,
  judgeReadiness,
  KnownDumps,
  planPlacement,
  ProgressCount,
  protectedPaths,
  rivalsOf,
  selectSome,
  sortAlgorithms,
  unresolved,
} from '@firmtally/core/internal';
import { openFolder, type HostFolder } from '../folder/open-folder.js';
import { applyPlan, type PlanResult, type StepResult } from './apply-plan.js';
import { openCard, type CardFs } from './card-fs.js';
import { cachedDigester } from './cached-digester.js';
import { clearLeftovers, type LeftoverResult } from './clear-leftovers.js';
import { nodePlatform } from '../platform.js';
import { withSlashes } from '../folder/with-slashes.js';
import { ALWAYS, search, type SearchTools } from './search.js';
import { resolveLinks } from '../folder/native-path.js';
import { openOrigin, type OriginFile } from './open-origin.js';
import { refuseSharedFolders } from './overlap.js';
import { PlaceStopped } from './place-error.js';
import { openSources, type ListedSource } from './sources.js';

export interface PlacementOptions {
  /** Folder of the card, relative to `cwd`. */
  readonly card: string;
  /** Files and folders to place from, relative to `cwd`; never modified. */
  readonly sources: readonly string[];
  readonly cwd: string;
  readonly manifest: Manifest;
  readonly request: SelectionRequest;
  /** Whether corrected copies of damaged files may be written. */
  readonly repair: boolean;
  /** Bytes of a cluster; null asks the card. */
  readonly clusterSize: number | null;
  /** Threads that hash; default as in createDigester. */
  readonly jobs?: number;
  /** Put between placing and the card, for instance to test what a failing card does. */
  readonly wrapCard?: (card: CardFs) => CardFs;
}

/** A fault and where: `source` null is the card. */
export type PlacedFault = Fault & { readonly source: string | null };

/** How the card stands, and what to do about it. */
export interface Outlook {
  readonly plan: Plan;
  readonly systems: readonly SystemRow[];
  readonly verdicts: readonly FirmwareVerdict[];
  /** What a killed run left; {@link Placement.apply} settles it first. */
  readonly leftovers: readonly Leftover[];
  /** What may explain that much is wrong at once. */
  readonly hints: readonly Hint[];
  readonly faults: readonly PlacedFault[];
}

/** Bytes of a cluster when neither the caller nor the card says: common practice for cards above 32 GB, no source. */
const USUAL_CLUSTER = 16 * 1024;

/** What an {@link Placement.apply} is told to do, and tells. */
export interface ApplyOptions extends LookOptions {
  /** Places although the folder seems not to be the one that the manifest means. */
  readonly anyway?: boolean;
  /** Told the plan that is about to be carried out; the steps wait for it. */
  readonly onPlan?: (outlook: Outlook) => void | Promise<void>;
  /** Told what became of each step, as soon as that is known; the next one waits for it. */
  readonly onResult?: (result: StepResult, index: number) => void | Promise<void>;
}

export interface LookOptions {
  /** Ends the work with its reason; while steps are done, after the running one is undone. */
  readonly signal?: AbortSignal;
  readonly onProgress?: OnProgress;
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
  readonly selection: Selection;
  /** Looks at the card and the pile, and plans. Writes nothing. Rejects with the signal's reason. */
  look(options?: LookOptions): Promise<Outlook>;
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
 * Opens a card and the sources to place from.
 *
 * @throws FirmtallyError('root-unreadable'), ('usage') when a source is on the card or holds it,
 *   ('unknown-system'), ('unknown-loadout'), ('manifest-invalid') when no system is selected
 */
export async function openPlacement(options: PlacementOptions): Promise<Placement> {
  const { cwd, manifest } = options;
  const selection = selectSome(manifest, options.request);
  const path = resolve(cwd, options.card);
  const digesting = { jobs: options.jobs };
  const folder = await openFolder(path, digesting);
  const sources = await openSources(options.sources, cwd, path, digesting);
  const card = await openCard(path);
  return new OpenPlacement(options, selection, folder, options.wrapCard?.(card) ?? card, sources);
}

class OpenPlacement implements Placement {
  readonly selection: Selection;
  readonly #card: CardFs;
  readonly #options: PlacementOptions;
  /** Absolute, links resolved. */
  readonly #cardPath: string;
  readonly #folder: HostFolder;
  readonly #sources: readonly ListedSource[];
  readonly #known: KnownDumps;
  /** What the pile holds: it does not change by placing, so that it is read once. */
  #pile: SearchResult | null = null;
  /** Whether the folders of the pile and the card were compared. */
  #compared = false;

  constructor(
    options: PlacementOptions,
    selection: Selection,
    folder: HostFolder,
    card: CardFs,
    sources: readonly ListedSource[],
  ) {
    this.#options = options;
    this.#cardPath = resolveLinks(resolve(options.cwd, options.card));
    this.selection = selection;
    this.#folder = folder;
    this.#card = card;
    this.#sources = sources;
    this.#known = new KnownDumps(options.manifest.firmware.values());
  }

  async look({ signal, onProgress }: LookOptions = {}): Promise<Outlook> {
    const { manifest } = this.#options;
    const progress = new ProgressCount(onProgress);
    progress.start('list');
    signal?.throwIfAborted();
    const found = await buildInventory(this.#folder);
    this.#refuseSharedFolders(found);
    const leftovers = findLeftovers(found, this.#expectedPaths());
    const removed = new Set(leftovers.flatMap((each) => (each.to === null ? [each.path] : [])));
    const inventory = new Inventory(
      found.entries.filter(({ path }) => !removed.has(path)),
      found.faults,
    );
    progress.start('read');
    const digester = cachedDigester(
      this.#folder,
      sortAlgorithms([...ALWAYS, ...this.#known.algorithms]),
      { signal, onBytes: (count) => progress.advance(count) },
    );
    const folder = { ...this.#folder, ...digester };
    try {
      const reading = {
        inventory,
        folder,
        platform: nodePlatform,
      };
      const judged = await judgeFirmware({ ...reading, expected: this.selection.firmware });
      signal?.throwIfAborted();
      const faults: PlacedFault[] = [];
      const note = (more: readonly PlacedFault[]): void => {
        for (const each of more) faults.push({ ...each, path: this.#faultPath(each) });
      };
      note([...inventory.faults, ...judged.faults].map((each) => ({ ...each, source: null })));
      const { verdicts } = judged;
      const wanted = unresolved(this.selection, verdicts);
      const tools = { known: this.#known, jobs: this.#options.jobs, signal, progress };
      const searched: SearchResult[] = [];
      if (wanted.length > 0) {
        this.#pile ??= await this.#searchPile(tools);
        const card: SearchedSource = {
          name: null,
          entries: inventory.entries,
          content: folder,
          isLikely: isLikelyOnCard(wanted),
        };
        searched.push(this.#pile, await search([card], tools));
      }
      const { candidates, met, ...more } = await findCandidates({
        found: searched.flatMap(({ found: each }) => each),
        wanted,
        known: this.#known,
        judged: new Set(verdicts.flatMap((each) => each.judged ?? [])),
        platform: nodePlatform,
        signal,
        count: progress,
      });
      for (const { faults: unread } of [...searched, more]) note(unread);
      for (const { name, faults: unlisted } of this.#sources) {
        note(unlisted.map((each) => ({ ...each, source: name })));
      }
      const rivals = rivalsOf(wanted, this.selection, manifest, inventory);
      const standing = await judgeFirmware({ ...reading, expected: rivals });
      const heldFor = standing.verdicts
        .filter(({ verdict }) => verdict === 'match')
        .map(({ expectedPath, id }): [string, string] => [expectedPath, id]);
      const space = await this.#card.space();
      const plan = planPlacement({
        selection: this.selection,
        verdicts,
        inventory,
        candidates,
        met,
        protectedPaths: protectedPaths(manifest, this.selection.firmware),
        heldFor: new Map(heldFor),
        namesakes: findNamesakes(wanted, this.#places(inventory)),
        repair: this.#options.repair,
        clusterSize: this.#options.clusterSize ?? space?.clusterSize ?? USUAL_CLUSTER,
        free: space?.free ?? null,
      });
      const systems = judgeReadiness(this.selection, verdicts, inventory);
      const hints = hintsFor({
        manifest,
        selection: this.selection,
        inventory,
        rootPath: withSlashes(this.#cardPath),
      });
      return { plan, systems, verdicts, leftovers, hints, faults: unique(faults) };
    } finally {
      await digester.close();
    }
  }

  async apply(options: ApplyOptions = {}): Promise<Applied> {
    let before = await this.look(options);
    this.#refuse(before, options.anyway === true);
    const leftovers: LeftoverResult[] = [];
    if (before.leftovers.length > 0) {
      leftovers.push(...(await clearLeftovers(before.leftovers, this.#card)));
      before = await this.look(options).catch((error: unknown) => {
        throw options.signal?.aborted === true ? interruptedAfterSettling() : error;
      });
      this.#refuse(before, options.anyway === true);
    }
    await options.onPlan?.(before);
    const { results, stopped } = await this.#do(before.plan, options);
    const after = stopped?.code === 'card-gone' ? null : await this.look();
    return { before, leftovers, results, stopped, after };
  }

  /** Each byte is written once and read back once. */
  #do(plan: Plan, { signal, onProgress, onResult }: ApplyOptions): Promise<PlanResult> {
    const progress = new ProgressCount(onProgress);
    const bytes = plan.steps.reduce((sum, { size }) => sum + 2 * size, 0);
    progress.start('place', { files: plan.steps.length, bytes });
    return applyPlan(plan, {
      card: this.#card,
      open: (from, remedy) =>
        openOrigin(from, remedy, (origin) => this.#locate(origin), nodePlatform.archives),
      ...nodePlatform,
      ...(signal === undefined ? {} : { signal }),
      onStep: (step) => progress.advance(0, step.to),
      onBytes: (count) => progress.advance(count),
      onResult: async (result, index) => {
        progress.done(result.step.to);
        await onResult?.(result, index);
      },
    });
  }

  #refuse({ plan, hints }: Outlook, anyway: boolean): void {
    const doubt = hints.find(({ code }) => code === 'root-too-deep' || code === 'root-too-high');
    if (doubt !== undefined && !anyway) {
      const elsewhere = 'try' in doubt ? ` Try ${this.#options.card}/${doubt.try}.` : '';
      throw new FirmtallyError(
        'root-doubtful',
        `${this.#options.card}: ${doubt.text} Nothing was written.`,
        `Name the card's own folder.${elsewhere}`,
      );
    }
    if (plan.fits !== false) return;
    const { needed, free } = plan.space;
    throw new FirmtallyError(
      'place-failed',
      `${this.#options.card}: the steps need ${needed} bytes in whole clusters; ${free ?? 0} are free. Nothing was written.`,
      'Make room on the card, or place fewer systems.',
    );
  }

  /** A single file's path is that of its source. */
  #faultPath({ source, path }: PlacedFault): string {
    const from = source === null ? undefined : this.#sources.find(({ name }) => name === source);
    return from === undefined ? path : originPath(from, path);
  }

  /** Once: the pile was listed once too. */
  #refuseSharedFolders({ entries }: Inventory): void {
    if (this.#compared) return;
    const card = { path: this.#cardPath, entries };
    for (const { name, at, kind, entries: listed } of this.#sources) {
      const inside = kind === 'folder' ? listed : [];
      refuseSharedFolders(name, { path: at, entries: inside }, card);
    }
    this.#compared = true;
  }

  #places(inventory: Inventory): ListedFiles[] {
    const pile = this.#sources.map((source) => ({
      source: source.name,
      entries: source.entries,
      originPath: (path: string) => originPath(source, path),
    }));
    return [...pile, { source: null, entries: inventory.entries }];
  }

  async #locate(origin: Origin): Promise<OriginFile> {
    if (origin.source === null) {
      const size = (await this.#card.stat(origin.path))?.size ?? 0;
      return { files: this.#folder, path: origin.path, size };
    }
    const source = this.#sources.find(({ name }) => name === origin.source);
    if (source === undefined) throw new ReadError('vanished', `no source ${origin.source}`);
    const entry =
      source.kind === 'file'
        ? source.entries[0]
        : source.entries.find(({ path }) => path === origin.path);
    return { files: source.folder, path: entry?.path ?? origin.path, size: entry?.size ?? 0 };
  }

  /** Once, after which its threads are of no use any more. */
  async #searchPile(tools: SearchTools): Promise<SearchResult> {
    try {
      return await search(
        this.#sources.map((source) => ({
          name: source.name,
          entries: source.entries,
          content: source.folder,
          originPath: (path) => originPath(source, path),
        })),
        tools,
      );
    } finally {
      for (const { folder } of this.#sources) await folder.close();
    }
  }

  #expectedPaths(): string[] {
    return this.selection.firmware.map((each) => each.expectedPath);
  }
}

/** What an origin calls a path of a source: a single file is its source. */
function originPath({ kind }: ListedSource, path: string): string {
  return kind === 'file' ? '' : path;
}

/** Something was written by then, if only to clear up. */
function interruptedAfterSettling(): PlaceStopped {
  return new PlaceStopped(
    'interrupted',
    'Interrupted: what an earlier run had left is settled, and no step was begun.',
  );
}

/** The judge and the search may both meet a file that cannot be read. */
function unique(faults: readonly PlacedFault[]): PlacedFault[] {
  const seen = new Map(faults.map((fault) => [JSON.stringify([fault.source, fault.path]), fault]));
  return [...seen.values()];
}
