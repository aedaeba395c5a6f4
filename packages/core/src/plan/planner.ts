import type { Firmware } from '../manifest/model.js';
import { foldCase } from '../text/fold.js';
import {
  byPreference,
  isOnCard,
  isWhole,
  useFor,
  type Candidate,
  type CandidateUse,
} from './candidate.js';
import { checkFatPath, FAT_MAX_FILE_SIZE } from './fat.js';
import { keptPath } from './kept-path.js';
import { KEPT_FOLDER, type KeptFile, type PlanProblem, type Step, type StepKind } from './model.js';
import { clustersOfFile } from './space.js';
import { afterMove, resolveTarget, samePlace, type Target } from './target.js';
import type { VirtualCard } from './virtual-card.js';

/** Entries that share one expected path. */
export interface Group {
  readonly expectedPath: string;
  /** Those to be placed now, in id order. */
  readonly wanted: readonly Firmware[];
  /** Those whose bytes already stand there, and must stay acceptable. */
  readonly settled: readonly Firmware[];
  /** Whether none of the entries with this path minds its letter case. */
  readonly ignoreCase: boolean;
}

/** Why a group cannot be placed. */
export type Failure =
  | { readonly kind: 'problem'; readonly problems: readonly PlanProblem[] }
  | { readonly kind: 'unavailable'; readonly reason: string };

interface Choice {
  readonly candidate: Candidate;
  readonly kind: StepKind | 'in-place';
}

/** Collects steps, keeping the picture of the card up to date with each. */
export class Planner {
  readonly steps: Step[] = [];
  readonly kept: KeptFile[] = [];
  readonly #card: VirtualCard;
  readonly #candidates: readonly Candidate[];
  /** Where candidates on the card lie now. */
  readonly #whereabouts = new Map<Candidate, string>();
  readonly #protectedPaths: ReadonlySet<string>;
  readonly #protectedFolded: ReadonlySet<string>;
  /** What the steps so far have placed, by the path it was expected at. */
  readonly #placed = new Map<string, Candidate>();
  /** Folded path -> expected path it is used for. */
  readonly #claims = new Map<string, string>();
  readonly #repair: boolean;
  readonly #clusterSize: number;

  constructor(input: {
    readonly card: VirtualCard;
    readonly candidates: readonly Candidate[];
    readonly protectedPaths: ReadonlySet<string>;
    readonly repair: boolean;
    readonly clusterSize: number;
  }) {
    this.#card = input.card;
    this.#candidates = byPreference(input.candidates);
    for (const each of this.#candidates) {
      if (isOnCard(each)) this.#whereabouts.set(each, each.origin.path);
    }
    this.#protectedPaths = input.protectedPaths;
    this.#protectedFolded = new Set([...input.protectedPaths].map(foldCase));
    this.#repair = input.repair;
    this.#clusterSize = input.clusterSize;
  }

  /** Notes that a path is taken by bytes that are right. */
  claim(path: string): void {
    this.#claims.set(foldCase(path), path);
  }

  /** Adds the steps that bring acceptable bytes to the group's path; or says why not, and adds none. */
  place(group: Group): Failure | null {
    const first = group.wanted.find((each) => !isPresenceOnly(each)) ?? group.wanted[0];
    if (first === undefined) return null;
    const { expectedPath } = group;
    const claimed = this.#claims.get(foldCase(expectedPath));
    if (claimed !== undefined && claimed !== expectedPath) {
      return problem(first, {
        rule: 'name-clash',
        path: expectedPath,
        message: `On FAT32 this is the same name as "${claimed}", which another entry expects.`,
      });
    }
    const target = resolveTarget(this.#card, expectedPath, group.ignoreCase, (folder) =>
      this.#holdsProtected(folder),
    );
    if ('rule' in target) return problem(first, target);
    const names = checkFatPath(target.path);
    if (names.length > 0) {
      const problems = names.map((each) => ({ ...each, firmware: first.id, path: target.path }));
      return { kind: 'problem', problems };
    }
    const choice = this.#choose(group, target);
    if ('reason' in choice) return { kind: 'unavailable', ...choice };
    if (choice.candidate.size > FAT_MAX_FILE_SIZE) {
      return problem(first, {
        rule: 'fat-file-size',
        path: target.path,
        message: `FAT32 files have at most ${FAT_MAX_FILE_SIZE} bytes; this one has ${choice.candidate.size}.`,
      });
    }
    const inTheWay = this.#inTheWay(target, choice);
    const blocked = inTheWay
      .map((path) => this.#blocks(path, target))
      .find((each) => each !== null);
    if (blocked !== undefined) return problem(first, blocked);
    return this.#commit(group, first, target, choice, inTheWay);
  }

  /** The bytes to place: those already on the card at another name first, then by preference. */
  #choose(group: Group, target: Target): Choice | { readonly reason: string } {
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
        (each.remedy === null || this.#repair) &&
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
    const folded = foldCase(path);
    return !this.#protectedFolded.has(folded) && !folded.startsWith(`${foldCase(KEPT_FOLDER)}/`);
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

  /** What stands at the target's name in any letter case, other than the bytes that are moved there. */
  #inTheWay(target: Target, choice: Choice): string[] {
    if (choice.kind === 'in-place') return [];
    const moved = isMove(choice.kind) ? this.#whereabouts.get(choice.candidate) : undefined;
    const exact = this.#card.get(target.now) === undefined ? [] : [target.now];
    return [...exact, ...this.#card.equalButForCase(target.now)].filter((path) => path !== moved);
  }

  #blocks(path: string, target: Target): Omit<PlanProblem, 'firmware'> | null {
    const kind = this.#card.get(path)?.kind;
    if (kind !== 'file') {
      return {
        rule: 'not-a-file',
        path,
        message: `A ${kind ?? 'thing'} stands where the file belongs; move it away yourself.`,
      };
    }
    if (path !== target.now && this.#protectedPaths.has(path)) {
      return {
        rule: 'name-clash',
        path: target.path,
        message: `On FAT32 this is the same name as "${path}", which another entry expects.`,
      };
    }
    const kept = keptPath(this.#card, path);
    return typeof kept === 'string' ? null : kept;
  }

  #commit(
    group: Group,
    first: Firmware,
    target: Target,
    { candidate, kind }: Choice,
    inTheWay: readonly string[],
  ): Failure | null {
    const use = useFor(candidate, first.id) ?? candidate.uses[0];
    let ways = [...inTheWay];
    for (const { from, to } of target.fixes) {
      this.#move(from, to);
      ways = ways.map((path) => afterMove(path, from, to));
      this.#add({ kind: 'case-fix', entry: 'folder', firmware: first.id, dump: null }, from, to);
    }
    this.claim(group.expectedPath);
    if (kind === 'in-place') return null;
    const from = this.#whereabouts.get(candidate) ?? candidate.origin.path;
    for (const path of ways) {
      const to = keptPath(this.#card, path);
      if (typeof to !== 'string') return problem(first, to);
      const size = this.#card.get(path)?.size ?? 0;
      this.kept.push({ path, to, size, firmware: first.id });
      this.#move(path, to);
    }
    this.#placed.set(group.expectedPath, candidate);
    this.#addFile(first, kind, candidate, use, from, target.path);
    return null;
  }

  #addFile(
    first: Firmware,
    kind: StepKind,
    candidate: Candidate,
    use: CandidateUse | undefined,
    from: string,
    to: string,
  ): void {
    const { origin, size, digests, remedy } = candidate;
    if (isMove(kind)) this.#move(from, to);
    else this.#card.addFile(to, size);
    this.steps.push({
      kind,
      entry: 'file',
      firmware: first.id,
      dump: use?.dump ?? null,
      verified: use?.verified ?? false,
      from: { ...origin, path: from },
      remedy,
      to,
      size,
      clusters: isMove(kind) ? 0 : clustersOfFile(size, this.#clusterSize),
      digests,
    });
  }

  #add(step: Pick<Step, 'kind' | 'entry' | 'firmware' | 'dump'>, from: string, to: string): void {
    this.steps.push({
      ...step,
      verified: true,
      from: { source: null, path: from, member: null },
      remedy: null,
      to,
      size: 0,
      clusters: 0,
      digests: null,
    });
  }

  #move(from: string, to: string): void {
    this.#card.move(from, to);
    for (const [candidate, path] of this.#whereabouts) {
      this.#whereabouts.set(candidate, afterMove(path, from, to));
    }
  }

  #holdsProtected(folder: string): boolean {
    const inside = `${folder}/`;
    return [...this.#protectedPaths].some((path) => path.startsWith(inside));
  }
}

function isMove(kind: StepKind | 'in-place'): boolean {
  return kind === 'rename' || kind === 'case-fix';
}

/** Whether an entry says nothing of the bytes. */
export function isPresenceOnly(firmware: Firmware): boolean {
  return firmware.dumps.length === 0 && firmware.members === null;
}

function problem(firmware: Firmware, about: Omit<PlanProblem, 'firmware'>): Failure {
  return { kind: 'problem', problems: [{ ...about, firmware: firmware.id }] };
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
