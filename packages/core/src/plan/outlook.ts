import { ProgressCount } from '../bytes/progress.js';
import type { FolderSource, PileSource } from '../bytes/source.js';
import { checkedFolder, checkedPile, checkedPlatform } from '../digest/checked.js';
import type { Hint } from '../facts/hint.js';
import { buildInventory } from '../inventory/build-inventory.js';
import { Inventory } from '../inventory/inventory.js';
import { OF_EXPECTED } from '../judge/algorithms.js';
import { hintsFor } from '../judge/hints.js';
import { judgeFirmware } from '../judge/judge-firmware.js';
import { judgeReadiness, type SystemRow } from '../judge/readiness.js';
import type { FirmwareVerdict } from '../judge/verdict.js';
import { manifestOf, type ManifestTaskOptions } from '../manifest/manifest-of.js';
import type { Manifest } from '../manifest/model.js';
import { selectSome } from '../manifest/select-systems.js';
import type { Selection, SelectionRequest } from '../manifest/selection.js';
import { KnownDumps } from '../recognise/known-dumps.js';
import type { SearchResult, SourceFault } from '../recognise/found.js';
import { searchSources } from '../recognise/search.js';
import { findCandidates } from './find-candidates.js';
import { findLeftovers, type Leftover } from './leftovers.js';
import type { Plan } from './model.js';
import { findNamesakes } from './namesakes.js';
import { besidesNeeded, Pile } from './pile.js';
import { planSteps } from './plan.js';
import { protectedPaths } from './protected-paths.js';
import { remembering } from './remembering.js';
import { isLikelyOnCard, rivalsOf, unresolved } from './unresolved.js';

/** Which systems are to become ready by {@link planPlacement}, and what is known of the card. */
export interface PlanOptions extends ManifestTaskOptions, SelectionRequest {
  /** Where the card really is, for telling that it is a folder too deep; '/'-joined; unknown when not given. */
  readonly rootPath?: string | undefined;
  /** Whether corrected copies of damaged files may be written. */
  readonly repair?: boolean | undefined;
  /** Bytes of a cluster of the card; 16 KiB when not given. */
  readonly clusterSize?: number | undefined;
  /** Bytes free on the card; unknown when not given. */
  readonly free?: number | undefined;
}

/** How a card stands, and what to do about it. */
export interface Outlook {
  readonly plan: Plan;
  readonly systems: readonly SystemRow[];
  readonly verdicts: readonly FirmwareVerdict[];
  /** What a run that was killed left on the card; it is cleared up before the steps are done. */
  readonly leftovers: readonly Leftover[];
  /** What may explain that much is wrong at once. */
  readonly hints: readonly Hint[];
  /** What could not be read; of the card where `source` is null. */
  readonly faults: readonly SourceFault[];
}

/** Bytes of a cluster when nobody says: common practice for cards above 32 GB, no source. */
const USUAL_CLUSTER = 16 * 1024;

/**
 * Plans what to copy, unpack, repair, pack or respell so that the selected
 * systems of a card become ready: the whole task. Nothing is written.
 *
 * @param sources what may be taken from; files on the card are found without being named
 * @throws FirmtallyError `manifest-invalid` (also where nothing is selected), `unknown-system`, `unknown-loadout`,
 *   `source-invalid`, `engine-invalid`, `archives-invalid`; what listing the card or a source throws; the
 *   signal's reason; what a callback throws
 * @example
 * const platform = { engine: hashWasmEngine, archives: null };
 * const sources = [{ name: 'pile', kind: 'folder', folder: pile }] as const;
 * const { plan } = await planPlacement(card, sources, { manifests: manifest, platform });
 * plan.steps.map(({ kind, to }) => `${kind} ${to}`); // => ['copy osprey_font.bin']
 */
export async function planPlacement(
  card: FolderSource,
  sources: readonly PileSource[],
  options: PlanOptions,
): Promise<Outlook> {
  const { signal } = options;
  signal?.throwIfAborted();
  const platform = checkedPlatform(options.platform, signal);
  const manifest = await manifestOf(options.manifests, platform.engine);
  const selection = selectSome(manifest, options);
  const count = new ProgressCount(options.onProgress);
  count.start('list');
  const checkedCard = checkedFolder(card, signal);
  return outlook({
    ...options,
    card: checkedCard,
    listed: await buildInventory(checkedCard, { signal, count }),
    pile: await Pile.of(checkedPile(sources, signal), count, signal),
    platform,
    manifest,
    selection,
    count,
  });
}

/** What an {@link outlook} rests on. */
export interface OutlookInput extends Omit<PlanOptions, 'manifests' | 'onProgress'> {
  readonly card: FolderSource;
  /** What is on the card. */
  readonly listed: Inventory;
  readonly pile: Pile;
  readonly manifest: Manifest;
  readonly selection: Selection;
  readonly count: ProgressCount;
}

/** Looks at a card and a pile that are listed, and plans. */
export async function outlook(input: OutlookInput): Promise<Outlook> {
  const { listed, pile, manifest, selection, platform, count, jobs, signal } = input;
  const expectedPaths = selection.firmware.map(({ expectedPath }) => expectedPath);
  const leftovers = findLeftovers(listed, expectedPaths);
  const removed = new Set(leftovers.flatMap((each) => (each.to === null ? [each.path] : [])));
  const inventory = new Inventory(
    listed.entries.filter(({ path }) => !removed.has(path)),
    listed.faults,
  );
  const known = new KnownDumps(manifest.firmware.values());
  const card = remembering(input.card, [...OF_EXPECTED, ...known.algorithms], platform.engine);
  count.start('read');
  const reading = { inventory, folder: card, platform, jobs, count };
  const judged = await judgeFirmware({ ...reading, expected: selection.firmware });
  signal?.throwIfAborted();
  const { verdicts } = judged;
  const wanted = unresolved(selection, verdicts);
  const searched: SearchResult[] = [];
  if (wanted.length > 0) {
    const tools = { known, platform, jobs, signal, count };
    searched.push(await pile.search(tools));
    const { entries } = inventory;
    const isLikely = isLikelyOnCard(wanted);
    const sources = [{ name: null, entries, content: card, isLikely }];
    searched.push(await searchSources({ ...tools, sources, always: besidesNeeded(known) }));
  }
  const examined = await findCandidates({
    found: searched.flatMap(({ found }) => found),
    wanted,
    known,
    judged: new Set(verdicts.flatMap((each) => each.judged ?? [])),
    platform,
    signal,
    count,
  });
  const rivals = rivalsOf(wanted, selection, manifest, inventory);
  const standing = await judgeFirmware({ ...reading, expected: rivals });
  const held = standing.verdicts.filter(({ verdict }) => verdict === 'match');
  const plan = planSteps({
    selection,
    verdicts,
    inventory,
    candidates: examined.candidates,
    met: examined.met,
    protectedPaths: protectedPaths(manifest, selection.firmware),
    heldFor: new Map(held.map(({ expectedPath, id }) => [expectedPath, id])),
    namesakes: findNamesakes(wanted, [
      ...pile.places,
      { source: null, entries: inventory.entries },
    ]),
    repair: input.repair ?? false,
    clusterSize: input.clusterSize ?? USUAL_CLUSTER,
    free: input.free ?? null,
  });
  const onCard = [...inventory.faults, ...judged.faults].map((each) => ({ ...each, source: null }));
  const faults = [onCard, ...searched.map((each) => each.faults), examined.faults, pile.faults];
  return {
    plan,
    systems: judgeReadiness(selection, verdicts, inventory),
    verdicts,
    leftovers,
    hints: hintsFor({ manifest, selection, inventory, rootPath: input.rootPath ?? null }),
    faults: unique(faults.flat().map((each) => pile.fault(each))),
  };
}

/** The judge and the search may both meet a file that cannot be read. */
function unique(faults: readonly SourceFault[]): SourceFault[] {
  const seen = new Map(faults.map((fault) => [JSON.stringify([fault.source, fault.path]), fault]));
  return [...seen.values()];
}
