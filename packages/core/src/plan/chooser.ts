import { foldCase } from '../text/fold.js';
import { byPreference, isOnCard, isWhole, useFor, type Candidate } from './candidate.js';
import { isPresenceOnly } from '../manifest/model.js';
import type { Group } from './group.js';
import { isKept } from './kept-path.js';
import type { StepKind } from './model.js';
import { afterMove, samePlace, type Target } from './target.js';
import type { VirtualCard } from './virtual-card.js';

/** Which bytes to place, and how they get there. */
export interface Choice {
  readonly candidate: Candidate;
  readonly kind: StepKind | 'in-place';
}

export interface ChooserInput {
  readonly card: VirtualCard;
  readonly candidates: readonly Candidate[];
  readonly protectedPaths: ReadonlySet<string>;
  readonly repair: boolean;
}

/** Chooses among the candidates, knowing where those on the card lie after the steps so far. */
export class Chooser {
  readonly #card: VirtualCard;
  readonly #candidates: readonly Candidate[];
  /** Where candidates on the card lie now. */
  readonly #whereabouts = new Map<Candidate, string>();
  readonly #protectedPaths: ReadonlySet<string>;
  readonly #protectedFolded: ReadonlySet<string>;
  /** What the steps so far have placed, by the path it was expected at. */
  readonly #placed = new Map<string, Candidate>();
  readonly #repair: boolean;

  constructor(input: ChooserInput) {
    this.#card = input.card;
    this.#candidates = byPreference(input.candidates);
    for (const each of this.#candidates) {
      if (isOnCard(each)) this.#whereabouts.set(each, each.origin.path);
    }
    this.#protectedPaths = input.protectedPaths;
    this.#protectedFolded = new Set([...input.protectedPaths].map(foldCase));
    this.#repair = input.repair;
  }

  /** Path on the card now; undefined for what is not on it. */
  whereabouts(candidate: Candidate): string | undefined {
    return this.#whereabouts.get(candidate);
  }

  /** Notes that something on the card, a folder or a file, has another path now. */
  moved(from: string, to: string): void {
    for (const [candidate, path] of this.#whereabouts) {
      this.#whereabouts.set(candidate, afterMove(path, from, to));
    }
  }

  /** Notes which bytes stand at an expected path now. */
  placed(expectedPath: string, candidate: Candidate): void {
    this.#placed.set(expectedPath, candidate);
  }

  /** The bytes to place: those already on the card at another name first, then by preference. */
  choose(
    group: Group,
    target: Target,
    { repair = this.#repair }: { readonly repair?: boolean } = {},
  ): Choice | { readonly reason: string } {
    const needs = [...group.wanted, ...group.settled];
    const checked = needs.filter((each) => !isPresenceOnly(each));
    const decisive = checked.length > 0 ? checked : needs;
    const fits = this.#candidates.filter((each) =>
      decisive.every((firmware) => useFor(each, firmware.id) !== undefined),
    );
    const there = this.#placed.get(group.expectedPath);
    if (there !== undefined && fits.includes(there)) {
      return { candidate: there, kind: 'in-place' };
    }
    const usable = fits.filter(
      (each) =>
        (each.remedy === null || repair) &&
        (checked.length > 0 || this.#mayBeGuessed(each, target)),
    );
    const moves = usable.flatMap((candidate) => {
      const kind = this.#moveKind(candidate, target);
      return kind === null ? [] : [{ candidate, kind }];
    });
    const placed = moves.find(({ kind }) => kind === 'in-place');
    const respelled = moves.find(({ kind }) => kind === 'case-fix');
    const inFolder = placed ?? respelled;
    if (inFolder !== undefined) return inFolder;
    if (checked.length === 0) {
      const different = new Set(usable.map((each) => JSON.stringify([each.size, each.digests])));
      if (different.size > 1) {
        return {
          reason: `${different.size} different files have this name, and the manifest gives no digests to tell which is right.`,
        };
      }
    }
    const renamed = moves.find(({ kind }) => kind === 'rename');
    if (renamed !== undefined) return renamed;
    const [candidate] = usable;
    if (candidate === undefined) {
      const damaged = fits.filter((each) => each.remedy !== null);
      return { reason: whyNot(group, damaged, this.#candidates) };
    }
    if (candidate.remedy !== null) return { candidate, kind: 'repair' };
    return { candidate, kind: candidate.origin.member === null ? 'copy' : 'extract' };
  }

  /** Whether a file that only its name speaks for may be used: not what another entry expects there, nor what was moved away. */
  #mayBeGuessed(candidate: Candidate, target: Target): boolean {
    const path = this.#whereabouts.get(candidate);
    if (path === undefined || samePlace(path, target.now)) return true;
    return !this.#protectedFolded.has(foldCase(path)) && !isKept(path);
  }

  /** How a file on the card gets to the target by moving it; null when it must stay where it is, or is not on the card. */
  #moveKind(candidate: Candidate, target: Target): 'in-place' | 'case-fix' | 'rename' | null {
    const path = this.#whereabouts.get(candidate);
    // A link is never moved: what it points to may be relative.
    if (path === undefined || !isWhole(candidate) || this.#card.get(path)?.kind !== 'file') {
      return null;
    }
    if (path === target.now) return 'in-place';
    if (samePlace(path, target.now)) return this.#protectedPaths.has(path) ? null : 'case-fix';
    return this.#protectedFolded.has(foldCase(path)) ? null : 'rename';
  }
}

function whyNot(
  group: Group,
  repairable: readonly Candidate[],
  candidates: readonly Candidate[],
): string {
  const [damaged] = repairable;
  if (damaged !== undefined) {
    const { source, path } = damaged.origin;
    const where = [source ?? 'the card', path].filter((part) => part !== '').join(': ');
    return `Only a damaged copy was found (${where}); --repair writes the corrected one.`;
  }
  const each = [...group.wanted, ...group.settled];
  const some = each.some(({ id }) => candidates.some((one) => useFor(one, id) !== undefined));
  if (each.length > 1 && some) return 'Entries that share this path need different bytes there.';
  const [first] = group.wanted;
  if (first !== undefined && first.members !== null)
    return 'No ZIP with all the expected members was found.';
  if (first !== undefined && isPresenceOnly(first)) return 'No file of this name was found.';
  return 'No file with the expected digests was found.';
}
