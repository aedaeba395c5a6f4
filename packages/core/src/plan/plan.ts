import { addTo } from '../collections.js';
import type { Inventory } from '../inventory/inventory.js';
import type { FirmwareVerdict } from '../judge/verdict.js';
import type { ExpectedFirmware, Selection } from '../manifest/selection.js';
import { sortedBy } from '../text/order.js';
import type { Origin } from '../recognise/origin.js';
import { fact } from '../facts/fact.js';
import type { Fact } from '../facts/fact-values.js';
import { judgeReadiness } from '../judge/readiness.js';
import { toGet, type ToGetRow } from './to-get.js';
import { outcomeOf } from './after.js';
import { provesNothing, type Candidate } from './candidate.js';
import type { PlanProblem } from '../facts/plan-problem.js';
import type { Plan, PlanSpace } from './model.js';
import type { Failure } from './chooser.js';
import { Planner } from './planner.js';
import type { ProtectedPaths } from './protected-paths.js';
import { clustersOfFolder } from './space.js';
import { VirtualCard, type CardNode } from './virtual-card.js';

/** Everything a plan depends on. */
export interface PlanInput {
  readonly selection: Selection;
  /** One for each firmware of the selection. */
  readonly verdicts: readonly FirmwareVerdict[];
  /** Of the card. */
  readonly inventory: Inventory;
  /** What can be placed; the pile's in order of preference. Those on the card have `origin.source` null. */
  readonly candidates: readonly Candidate[];
  /** Paths that any entry, system or loadout of the manifest counts on, selected or not: none is given up. */
  readonly protectedPaths: ProtectedPaths;
  /** Expected paths of the selection whose file is right for another firmware that is expected there, and its id. */
  readonly heldFor: ReadonlyMap<string, string>;
  /** What was met of firmware that nothing right was found for, by its id. */
  readonly met: ReadonlyMap<string, readonly Fact[]>;
  /** Files that have the name of a presence-only firmware, by its id. They are only named: a name proves nothing. */
  readonly namesakes: ReadonlyMap<string, readonly Origin[]>;
  /** Whether candidates that need a remedy may be used. */
  readonly repair: boolean;
  /** Bytes. */
  readonly clusterSize: number;
  /** Bytes free on the card; null when unknown. */
  readonly free: number | null;
}

/**
 * Plans what to do so that the selected systems become ready. Required
 * firmware and optional firmware come first, in id order; then each any-of that
 * nothing satisfies yet gets the first of its firmware, in listed order, that
 * is available (those that need a repair come after). Never plans to delete or overwrite anything.
 */
export function planSteps(input: PlanInput): Plan {
  return new Placement(input).plan();
}

/** Files of the right name that are told of, for one firmware. */
const MAX_NAMESAKES = 5;

class Placement {
  readonly #input: PlanInput;
  readonly #card: VirtualCard;
  readonly #planner: Planner;
  readonly #verdicts: ReadonlyMap<string, FirmwareVerdict>;
  readonly #expected: ReadonlyMap<string, ExpectedFirmware>;
  /** Entries of the selection by expected path. */
  readonly #sharing = new Map<string, ExpectedFirmware[]>();
  /** Ids whose bytes are right, now or after the steps so far. */
  readonly #right = new Set<string>();
  /** The judged files, to be found again wherever the steps leave them. */
  readonly #judged = new Map<string, CardNode>();
  #problems: PlanProblem[] = [];

  constructor(input: PlanInput) {
    this.#input = input;
    this.#card = new VirtualCard(input.inventory);
    this.#expected = new Map(input.selection.firmware.map((each) => [each.firmware.id, each]));
    for (const each of input.selection.firmware) addTo(this.#sharing, each.expectedPath, each);
    const present = input.verdicts.flatMap((each) => this.#respellable(each));
    const candidates = [...input.candidates, ...present];
    this.#planner = new Planner({ ...input, candidates, card: this.#card });
    this.#verdicts = new Map(input.verdicts.map((each) => [each.id, each]));
    for (const { id, verdict, expectedPath, judged } of input.verdicts) {
      const node = judged === null ? undefined : this.#card.get(judged);
      if (judged !== null && node !== undefined) this.#judged.set(judged, node);
      if (verdict === 'match') this.#right.add(id);
      if (this.#isDone(id)) this.#planner.claim(expectedPath);
    }
  }

  /** A presence-only file in another letter case: the only bytes that may ever stand for its entry. */
  #respellable({ id, verdict, judged, size, digests }: FirmwareVerdict): Candidate[] {
    if (verdict !== 'miscased' || !this.#isPresenceOnly(id)) return [];
    if (judged === null || size === null || digests === null) return [];
    const origin = { source: null, path: judged, inside: [] };
    const uses = [{ firmware: id, dump: null }];
    return [{ origin, remedy: null, size, digests, uses, memberUses: [] }];
  }

  plan(): Plan {
    // A step may clear the way for one that was hindered before it.
    for (let before = -1; this.#planner.steps.length > before;) {
      before = this.#planner.steps.length;
      this.#problems = [];
      this.#pass();
    }
    const space = this.#space();
    return {
      steps: this.#planner.steps,
      kept: this.#planner.kept,
      toGet: this.#toGet(),
      problems: this.#problems,
      space,
      fits: space.free === null ? null : space.needed <= space.free,
      after: outcomeOf({
        selection: this.#input.selection,
        verdicts: this.#input.verdicts,
        card: this.#card,
        nodes: this.#judged,
        placed: this.#right,
        isWritten: (id, path) => this.#planner.isWritten(id, path),
        writtenTo: this.#planner.steps.flatMap((step) =>
          step.kind === 'case-fix' ? [] : [step.to],
        ),
      }),
    };
  }

  #pass(): void {
    const { systems } = this.#input.selection;
    const items = systems.flatMap((system) => system.requires);
    const required = new Set(items.flatMap((item) => ('firmware' in item ? [item.firmware] : [])));
    const asked = new Set([...required, ...systems.flatMap((system) => system.optional)]);
    for (const id of sortedBy(asked, (each) => each)) {
      if (this.#isDone(id)) continue;
      const failure = this.#place(id, asked);
      if (failure !== null) this.#fail(id, failure);
    }
    for (const item of items) if ('anyOf' in item) this.#placeAny(item.anyOf);
  }

  #placeAny(ids: readonly string[]): void {
    const presenceOnly = ids.filter((id) => this.#isPresenceOnly(id));
    const proven = ids.filter((id) => !this.#isPresenceOnly(id));
    if (proven.some((id) => this.#right.has(id))) return;
    const failures: [string, Failure][] = [];
    const unverified = presenceOnly.some((id) => this.#right.has(id) || this.#isDone(id));
    if (this.#input.repair) {
      // Right bytes of any of them are better than those made from damaged ones.
      const exact = { repair: false };
      if (proven.some((id) => this.#place(id, new Set([id]), exact) === null)) return;
    }
    // Where an unverified file already serves, only a verified one is better.
    for (const id of [...proven, ...(unverified ? [] : presenceOnly)]) {
      const failure = this.#place(id, new Set([id]));
      if (failure === null) return;
      failures.push([id, failure]);
    }
    if (unverified) return;
    for (const [id, failure] of failures) this.#fail(id, failure);
  }

  /** Places an entry together with those asked for that share its path. */
  #place(
    id: string,
    asked: ReadonlySet<string>,
    options: { readonly repair?: boolean } = {},
  ): Failure | null {
    const entry = this.#expected.get(id);
    if (entry === undefined) throw new Error(`firmware ${id} is not in the selection`);
    const sharing = this.#sharing.get(entry.expectedPath) ?? [];
    const others = sharing.filter((each) => each !== entry);
    const standing = others.filter((each) => this.#right.has(each.firmware.id));
    const also = others.filter(
      ({ firmware }) => !this.#right.has(firmware.id) && asked.has(firmware.id),
    );
    const group = {
      expectedPath: entry.expectedPath,
      wanted: [entry.firmware, ...also.map((each) => each.firmware)],
      standing: standing.map((each) => each.firmware),
      ignoreCase: sharing.every((each) => each.firmware.case === 'ignore'),
    };
    let failure = this.#planner.place(group, options);
    let placed = group.wanted;
    if ((failure?.kind === 'nowhere' || failure?.kind === 'shared') && also.length > 0) {
      // Not all at once: this one alone, so that at least one is right.
      const alone = { ...group, wanted: [entry.firmware] };
      failure = this.#planner.place(alone, options);
      placed = alone.wanted;
    }
    if (failure === null) for (const each of placed) this.#right.add(each.id);
    return failure;
  }

  #isPresenceOnly(id: string): boolean {
    const entry = this.#expected.get(id);
    return entry !== undefined && provesNothing(entry.firmware);
  }

  /** Right already, or as right as an entry without digests can be. */
  #isDone(id: string): boolean {
    return this.#right.has(id) || this.#verdicts.get(id)?.verdict === 'unverified';
  }

  #fail(id: string, failure: Failure): void {
    if (failure.kind === 'nowhere') return;
    // Entries that share a path share its problems, but each is asked about by its own id.
    for (const each of failure.problems) this.#problems.push({ ...each, firmware: id });
  }

  #toGet(): ToGetRow[] {
    const { selection, verdicts, inventory, met, namesakes } = this.#input;
    return toGet({
      systems: judgeReadiness(selection, verdicts, inventory),
      canBePutRight: (id) => {
        const entry = this.#expected.get(id);
        if (this.#isDone(id)) return true;
        return entry !== undefined && this.#planner.isProvided(entry.firmware);
      },
      metInstead: (firmware) => [
        ...(met.get(firmware) ?? []),
        ...(namesakes.get(firmware) ?? []).slice(0, MAX_NAMESAKES).map(({ source, path }) => {
          const only = fact('name-only', { firmware });
          return fact('met-instead', { firmware, source, path, fact: only });
        }),
      ],
    });
  }

  /**
   * A file is written once, under a temporary name in its own folder, and what
   * it replaces is kept: so the fullest moment is the end, and nothing comes
   * on top for temporary files.
   */
  #space(): PlanSpace {
    const { clusterSize, free } = this.#input;
    let clusters = 0;
    for (const step of this.#planner.steps) clusters += step.clusters;
    for (const { names } of this.#card.newFolders()) {
      clusters += clustersOfFolder(names, clusterSize);
    }
    return { needed: clusters * clusterSize, clusters, clusterSize, free };
  }
}
