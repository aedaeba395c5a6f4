import { resolve } from 'node:path';
import {
  buildInventory,
  findLeftovers,
  findNamesakes,
  FirmtallyError,
  Inventory,
  judgeFirmware,
  judgeReadiness,
  KnownDumps,
  planPlacement,
  ProgressCount,
  protectedPaths,
  ReadError,
  rivalsOf,
  selectSystems,
  sortAlgorithms,
  unresolved,
  type Algorithm,
  type DigestOptions,
  type Fault,
  type FirmwareVerdict,
  type Leftover,
  type ListedFiles,
  type Manifest,
  type OnProgress,
  type Origin,
  type Plan,
  type Selection,
  type SelectionRequest,
  type SystemRow,
} from '@firmtally/core';
import { zipReader } from '../archive/zip-reader.js';
import { createDigester, type DigesterOptions } from '../digest/digester.js';
import { nativeEngine } from '../digest/native-engine.js';
import { openFolder, type HostFolder } from '../folder/open-folder.js';
import { applyPlan, type PlanResult, type StepResult } from './apply-plan.js';
import { openCard, type CardFs } from './card-fs.js';
import { cachedDigester } from './cached-digester.js';
import { CandidateSearch, type PileReading } from './candidate-search.js';
import { clearLeftovers, type LeftoverResult } from './clear-leftovers.js';
import { nativeDigestStream } from '../digest/native-digests.js';
import { resolveLinks } from '../folder/native-path.js';
import { openOrigin, type OriginFile } from './open-origin.js';
import { refuseSharedFolders } from './overlap.js';
import { PlaceStopped } from './place-error.js';
import { openSources, type PileSource } from './sources.js';

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
  readonly faults: readonly PlacedFault[];
}

/** Taken of all that is read, whatever the manifest gives, so that a copy is always checked well. */
const ALWAYS: readonly Algorithm[] = ['crc32', 'md5', 'sha1'];

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
  /** Ends the threads. */
  close(): Promise<void>;
}

/**
 * Opens a card and the sources to place from.
 *
 * @throws FirmtallyError('root-unreadable'), ('usage') when a source is on the card or holds it,
 *   ('unknown-system'), ('unknown-loadout'), ('manifest-invalid') when no system is selected
 */
export async function openPlacement(options: PlacementOptions): Promise<Placement> {
  const { cwd, manifest } = options;
  const selection = selectSystems(manifest, options.request);
  if (selection.systems.length === 0) {
    throw new FirmtallyError(
      'manifest-invalid',
      'No system is selected, so there is nothing to place.',
      'Add a `systems:` section to the manifest, or name systems in the loadout.',
    );
  }
  const path = resolve(cwd, options.card);
  const folder = await openFolder(path);
  const sources = await openSources(options.sources, cwd, path);
  const card = await openCard(path);
  return new OpenPlacement(options, selection, folder, options.wrapCard?.(card) ?? card, sources);
}

class OpenPlacement implements Placement {
  readonly selection: Selection;
  readonly #card: CardFs;
  readonly #options: PlacementOptions;
  readonly #folder: HostFolder;
  readonly #sources: readonly PileSource[];
  readonly #search: CandidateSearch;
  readonly #reading: PileReading;
  /** What the look that is under way heeds and tells. */
  #now: DigestOptions = {};
  /** Whether the folders of the pile and the card were compared. */
  #compared = false;

  constructor(
    options: PlacementOptions,
    selection: Selection,
    folder: HostFolder,
    card: CardFs,
    sources: readonly PileSource[],
  ) {
    this.#options = options;
    this.selection = selection;
    this.#folder = folder;
    this.#card = card;
    this.#sources = sources;
    const { manifest, repair } = options;
    const known = new KnownDumps(manifest.firmware.values());
    this.#reading = {
      algorithms: sortAlgorithms([...ALWAYS, ...known.algorithms]),
      now: () => this.#now,
    };
    const shared = { digesting: this.#digesting(), reading: this.#reading };
    this.#search = new CandidateSearch({ sources, manifest, repair, ...shared });
  }

  async look({ signal, onProgress }: LookOptions = {}): Promise<Outlook> {
    const { manifest } = this.#options;
    const progress = new ProgressCount(onProgress);
    progress.start('list');
    signal?.throwIfAborted();
    this.#now = { signal, onBytes: (count) => progress.advance(count) };
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
      createDigester(this.#folder, this.#digesting()),
      this.#reading.algorithms,
      this.#reading.now,
    );
    try {
      const reading = {
        inventory,
        folder: this.#folder,
        digester,
        archives: zipReader,
        digestStream: nativeDigestStream,
      };
      const judged = await judgeFirmware({ ...reading, expected: this.selection.firmware });
      const faults: PlacedFault[] = [];
      const note = (source: string | null, more: readonly Fault[]): void => {
        for (const fault of more) faults.push({ ...fault, source });
      };
      note(null, [...inventory.faults, ...judged.faults]);
      const { verdicts } = judged;
      const wanted = unresolved(this.selection, verdicts);
      const candidates = await this.#search.find(
        { folder: this.#folder, inventory, digester, verdicts },
        {
          wanted,
          note,
          onFile: (path) => {
            signal?.throwIfAborted();
            progress.done(path);
          },
        },
      );
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
        protectedPaths: protectedPaths(manifest, this.selection.firmware),
        heldFor: new Map(heldFor),
        namesakes: findNamesakes(wanted, this.#places(inventory)),
        repair: this.#options.repair,
        clusterSize: this.#options.clusterSize ?? space?.clusterSize ?? USUAL_CLUSTER,
        free: space?.free ?? null,
      });
      const systems = judgeReadiness(this.selection, verdicts, inventory);
      return { plan, systems, verdicts, leftovers, faults: unique(faults) };
    } finally {
      await digester.close();
    }
  }

  async apply(options: ApplyOptions = {}): Promise<Applied> {
    let before = await this.look(options);
    this.#refuse(before);
    const leftovers: LeftoverResult[] = [];
    if (before.leftovers.length > 0) {
      leftovers.push(...(await clearLeftovers(before.leftovers, this.#card)));
      before = await this.look(options).catch((error: unknown) => {
        throw options.signal?.aborted === true ? interruptedAfterSettling() : error;
      });
      this.#refuse(before);
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
      open: (from, remedy) => openOrigin(from, remedy, (origin) => this.#locate(origin), zipReader),
      archives: zipReader,
      engine: nativeEngine,
      ...(signal === undefined ? {} : { signal }),
      onStep: (step) => progress.advance(0, step.to),
      onBytes: (count) => progress.advance(count),
      onResult: async (result, index) => {
        progress.done(result.step.to);
        await onResult?.(result, index);
      },
    });
  }

  #refuse({ plan }: Outlook): void {
    if (plan.fits !== false) return;
    const { needed, free } = plan.space;
    throw new FirmtallyError(
      'place-failed',
      `${this.#options.card}: the steps need ${needed} bytes in whole clusters; ${free ?? 0} are free. Nothing was written.`,
      'Make room on the card, or place fewer systems.',
    );
  }

  async close(): Promise<void> {
    await this.#search.close();
  }

  /** Once: the pile was listed once too. */
  #refuseSharedFolders({ entries }: Inventory): void {
    if (this.#compared) return;
    const card = { path: resolveLinks(resolve(this.#options.cwd, this.#options.card)), entries };
    for (const { name, folder, kind, entries: listed } of this.#sources) {
      const inside = kind === 'folder' ? listed : [];
      refuseSharedFolders(name, { path: folder, entries: inside }, card);
    }
    this.#compared = true;
  }

  #places(inventory: Inventory): ListedFiles[] {
    const pile = this.#sources.map((source) => ({
      source: source.name,
      entries: source.entries,
      originPath: (path: string) => source.originPath(path),
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
    const path = source.filePath(origin.path);
    const size = source.entries.find((entry) => entry.path === path)?.size ?? 0;
    return { files: source.files, path, size };
  }

  #digesting(): DigesterOptions {
    return this.#options.jobs === undefined ? {} : { jobs: this.#options.jobs };
  }

  #expectedPaths(): string[] {
    return this.selection.firmware.map((each) => each.expectedPath);
  }
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
