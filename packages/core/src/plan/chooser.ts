import { addTo } from '../collections.js';
import { foldCase } from '../text/fold.js';
import type { Firmware } from '../manifest/model.js';
import {
  CandidateIndex,
  isOnCard,
  isWhole,
  provesNothing,
  type Candidate,
  type CandidateUse,
} from './candidate.js';
import type { Group } from './group.js';
import type { Origin } from '../recognise/origin.js';
import { MAX_ZIP_MEMBERS, PACK_LIMIT, zipSize } from './zip-size.js';
import { hinders, hindrance, type PlanProblem } from '../facts/plan-problem.js';
import type { ProtectedPaths } from './protected-paths.js';
import { samePlace, type Target } from './target.js';
import type { CardNode, VirtualCard } from './virtual-card.js';

/** Why a group cannot be placed. `nowhere`: no bytes for it were found. `shared`: none that do for all of it. */
export type Failure =
  | { readonly kind: 'problem' | 'shared'; readonly problems: readonly PlanProblem[] }
  | { readonly kind: 'nowhere' };

/** Which bytes to place, and how they get there. */
export type Choice =
  | {
      readonly kind: 'in-place' | 'case-fix' | 'copy' | 'extract' | 'repair';
      readonly candidate: Candidate;
    }
  | { readonly kind: 'pack'; readonly members: readonly ChosenMember[] };

/** The bytes of one member of a ZIP to be packed. */
export interface ChosenMember {
  readonly path: string;
  readonly candidate: Candidate;
  /** Label of the dump they are. */
  readonly dump: string;
}

export interface ChooserInput {
  readonly card: VirtualCard;
  readonly candidates: readonly Candidate[];
  readonly protectedPaths: ProtectedPaths;
  readonly repair: boolean;
}

/** Chooses among the candidates, knowing where those on the card lie after the steps so far. */
export class Chooser {
  readonly #card: VirtualCard;
  readonly #candidates: CandidateIndex;
  /** Candidates on the card. */
  readonly #nodes = new Map<Candidate, CardNode>();
  readonly #protectedFiles: ReadonlySet<string>;
  /** What the steps so far have placed, by the path it was expected at. */
  readonly #placed = new Map<string, Candidate>();
  /** Firmware that what was placed is right for. */
  readonly #written = new Set<string>();
  /** The same by the case-folded path it was placed at. */
  readonly #writtenAt = new Map<string, ReadonlySet<string>>();
  readonly #repair: boolean;

  constructor(input: ChooserInput) {
    this.#card = input.card;
    this.#candidates = new CandidateIndex(input.candidates);
    for (const each of input.candidates) {
      const node = isOnCard(each) ? input.card.get(each.origin.path) : undefined;
      if (node !== undefined) this.#nodes.set(each, node);
    }
    this.#protectedFiles = input.protectedPaths.files;
    this.#repair = input.repair;
  }

  /** Where the bytes of a candidate are now: what was in the way may have been moved by a step before. */
  originNow(candidate: Candidate): Origin {
    const node = this.#nodes.get(candidate);
    const { origin } = candidate;
    return node === undefined ? origin : { ...origin, path: this.#card.pathOf(node) };
  }

  /** As what a candidate is acceptable for one firmware. */
  use(candidate: Candidate, firmware: string): CandidateUse | undefined {
    return this.#candidates.use(candidate, firmware);
  }

  /** Notes which bytes stand at an expected path now. */
  placed(expectedPath: string, candidate: Candidate): void {
    this.#placed.set(expectedPath, candidate);
    const uses = new Set(candidate.uses.map(({ firmware }) => firmware));
    for (const id of uses) this.#written.add(id);
    this.#writtenAt.set(foldCase(expectedPath), uses);
  }

  /** Whether bytes that were placed, at a path in whatever letter case or anywhere, are right for a firmware. */
  isPlaced(firmware: string, path: string | null): boolean {
    if (path === null) return this.#written.has(firmware);
    return this.#writtenAt.get(foldCase(path))?.has(firmware) === true;
  }

  /** The bytes to place: those that lie there in another letter case first, then by preference. */
  choose(
    group: Group,
    target: Target,
    { repair = this.#repair }: { readonly repair?: boolean } = {},
  ): Choice | Failure {
    const needs = [...group.wanted, ...group.standing];
    const checked = needs.filter((each) => !provesNothing(each));
    const decisive = checked.length > 0 ? checked : needs;
    const fits = this.#candidates.forAll(decisive.map(({ id }) => id));
    const there = this.#placed.get(group.expectedPath);
    if (there !== undefined && fits.includes(there)) {
      return { candidate: there, kind: 'in-place' };
    }
    const usable = fits.filter((each) => each.remedy === null || repair);
    const lying = usable.flatMap((candidate) => {
      const kind = this.#respelling(candidate, target);
      return kind === null ? [] : [{ candidate, kind }];
    });
    const inPlace = lying.find(({ kind }) => kind === 'in-place') ?? lying[0];
    if (inPlace !== undefined) return inPlace;
    // That a file has the name says nothing of its bytes.
    const candidate = checked.length > 0 ? usable[0] : undefined;
    if (candidate?.remedy === null) {
      return { candidate, kind: isWhole(candidate) ? 'copy' : 'extract' };
    }
    const members = this.#pack(checked, repair);
    if (members !== null) return { kind: 'pack', members };
    if (candidate !== undefined) return { candidate, kind: 'repair' };
    return this.#whyNot(group, fits);
  }

  /** A member for each that entries want in their ZIP; null when one is lacking, or the ZIP would be too large. */
  #pack(entries: readonly Firmware[], repair: boolean): ChosenMember[] | null {
    const wantedBy = new Map<string, string[]>();
    for (const { id, members } of entries) {
      if (members === null) return null;
      for (const { path } of members) addTo(wantedBy, path, id);
    }
    if (wantedBy.size === 0) return null;
    const chosen: ChosenMember[] = [];
    for (const [path, ids] of wantedBy) {
      const best = this.#candidates
        .forMember(ids, path)
        .find(([candidate]) => candidate.remedy === null || repair);
      if (best === undefined) return null;
      chosen.push({ path, candidate: best[0], dump: best[1].dump });
    }
    const size = zipSize(chosen.map(({ path, candidate }) => ({ path, size: candidate.size })));
    return size <= PACK_LIMIT && chosen.length <= MAX_ZIP_MEMBERS ? chosen : null;
  }

  /** What a file that is there already needs; null when it lies elsewhere, or must keep its name. */
  #respelling(candidate: Candidate, target: Target): 'in-place' | 'case-fix' | null {
    const node = this.#nodes.get(candidate);
    // A link is never moved: what it points to may be relative.
    if (node?.kind !== 'file' || !isWhole(candidate)) return null;
    const path = this.#card.pathOf(node);
    if (path === target.now) return 'in-place';
    if (!samePlace(path, target.now) || this.#protectedFiles.has(path)) return null;
    return 'case-fix';
  }

  #whyNot(group: Group, fits: readonly Candidate[]): Failure {
    const [first] = group.wanted;
    const id = first?.id ?? '';
    const damaged = fits.find((each) => each.remedy !== null);
    if (damaged !== undefined) {
      const { source, path } = damaged.origin;
      const offer = hindrance('needs-repair', group.expectedPath, { from: { source, path } });
      return { kind: 'problem', problems: [hinders(id, offer)] };
    }
    const each = [...group.wanted, ...group.standing];
    if (each.length > 1 && each.some(({ id }) => this.#candidates.hasAny(id))) {
      const conflict = hindrance('path-conflict', group.expectedPath, { holder: null });
      return { kind: 'shared', problems: [hinders(id, conflict)] };
    }
    return { kind: 'nowhere' };
  }

  /** Whether bytes were found that are right for a firmware, or can be made right. */
  isProvided(firmware: Firmware): boolean {
    return this.#candidates.hasAny(firmware.id) || this.#pack([firmware], true) !== null;
  }
}
