import { resolve } from 'node:path';
import {
  buildInventory,
  findLeftovers,
  findNamesakes,
  Inventory,
  judgeFirmware,
  judgeReadiness,
  planPlacement,
  protectedPaths,
  ReadError,
  rivalsOf,
  selectSystems,
  unresolved,
  type Fault,
  type FirmwareVerdict,
  type Leftover,
  type ListedFiles,
  type Manifest,
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
import { applyPlan, type ApplyOptions, type ApplyResult } from './apply-plan.js';
import { openCard, type CardFs } from './card-fs.js';
import { cachedDigester } from './cached-digester.js';
import { CandidateSearch } from './candidate-search.js';
import { clearLeftovers, type LeftoverResult } from './clear-leftovers.js';
import { nativeDigestStream } from '../digest/native-digests.js';
import { resolveLinks } from '../folder/native-path.js';
import { openOrigin, type OriginFile } from './open-origin.js';
import { refuseSharedFolders } from './overlap.js';
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
  /** What a killed run left; {@link Placement.clear} deals with it. */
  readonly leftovers: readonly Leftover[];
  readonly faults: readonly PlacedFault[];
}

/** Bytes of a cluster when neither the caller nor the card says: common practice for cards above 32 GB, no source. */
const USUAL_CLUSTER = 16 * 1024;

/** Plans, and does, what makes the selected systems of a card ready. */
export interface Placement {
  readonly selection: Selection;
  readonly card: CardFs;
  /**
   * Looks at the card and the pile, and plans. Writes nothing. `onFile` is told
   * the file that is looked at, as it was named.
   */
  look(onFile?: (path: string) => void): Promise<Outlook>;
  /** Removes or restores what a killed run left. Look again afterwards. Throws PlaceStopped. */
  clear(leftovers: readonly Leftover[]): Promise<readonly LeftoverResult[]>;
  /** Does the plan of the last look; see {@link applyPlan}. */
  apply(
    plan: Plan,
    options?: Omit<ApplyOptions, 'card' | 'open' | 'archives' | 'engine'>,
  ): Promise<ApplyResult>;
  /** Ends the threads. */
  close(): Promise<void>;
}

/**
 * Opens a card and the sources to place from.
 *
 * @throws FirmtallyError('root-unreadable'), ('usage') when a source is on the card or holds it, ('unknown-system'), ('unknown-loadout')
 */
export async function openPlacement(options: PlacementOptions): Promise<Placement> {
  const { cwd, manifest } = options;
  const selection = selectSystems(manifest, options.request);
  const path = resolve(cwd, options.card);
  const folder = await openFolder(path);
  const sources = await openSources(options.sources, cwd, path);
  const card = await openCard(path);
  return new OpenPlacement(options, selection, folder, options.wrapCard?.(card) ?? card, sources);
}

class OpenPlacement implements Placement {
  readonly selection: Selection;
  readonly card: CardFs;
  readonly #options: PlacementOptions;
  readonly #folder: HostFolder;
  readonly #sources: readonly PileSource[];
  readonly #search: CandidateSearch;
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
    this.card = card;
    this.#sources = sources;
    const { manifest, repair } = options;
    this.#search = new CandidateSearch({ sources, manifest, repair, digesting: this.#digesting() });
  }

  async look(onFile?: (path: string) => void): Promise<Outlook> {
    const { manifest } = this.#options;
    const found = await buildInventory(this.#folder);
    this.#refuseSharedFolders(found);
    const leftovers = findLeftovers(found, this.#expectedPaths());
    const removed = new Set(leftovers.flatMap((each) => (each.to === null ? [each.path] : [])));
    const inventory = new Inventory(
      found.entries.filter(({ path }) => !removed.has(path)),
      found.faults,
    );
    const digester = cachedDigester(createDigester(this.#folder, this.#digesting()));
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
        { wanted, note, onFile },
      );
      const rivals = rivalsOf(wanted, this.selection, manifest, inventory);
      const standing = await judgeFirmware({ ...reading, expected: rivals });
      const heldFor = standing.verdicts
        .filter(({ verdict }) => verdict === 'match')
        .map(({ expectedPath, id }): [string, string] => [expectedPath, id]);
      const space = await this.card.space();
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

  clear(leftovers: readonly Leftover[]): Promise<readonly LeftoverResult[]> {
    return clearLeftovers(leftovers, this.card);
  }

  apply(
    plan: Plan,
    options: Omit<ApplyOptions, 'card' | 'open' | 'archives' | 'engine'> = {},
  ): Promise<ApplyResult> {
    return applyPlan(plan, {
      ...options,
      card: this.card,
      open: (from, remedy) => openOrigin(from, remedy, (origin) => this.#locate(origin), zipReader),
      archives: zipReader,
      engine: nativeEngine,
    });
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
      const size = (await this.card.stat(origin.path))?.size ?? 0;
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

/** The judge and the search may both meet a file that cannot be read. */
function unique(faults: readonly PlacedFault[]): PlacedFault[] {
  const seen = new Map(faults.map((fault) => [JSON.stringify([fault.source, fault.path]), fault]));
  return [...seen.values()];
}
