import type { Firmware } from '../manifest/model.js';
import { foldCase } from '../text/fold.js';
import { useFor, type Candidate, type CandidateUse } from './candidate.js';
import { Chooser, type Choice, type ChooserInput } from './chooser.js';
import { checkFatPath, FAT_MAX_FILE_SIZE } from '../text/fat.js';
import { isPresenceOnly } from '../manifest/model.js';
import type { Group } from './group.js';
import { keptPath } from './kept-path.js';
import type { KeptFile, PlanProblem, Step, StepKind } from './model.js';
import { clustersOfFile } from './space.js';
import { afterMove, resolveTarget, type Target } from './target.js';
import type { VirtualCard } from './virtual-card.js';

/** Why a group cannot be placed. */
export type Failure =
  | { readonly kind: 'problem'; readonly problems: readonly PlanProblem[] }
  | { readonly kind: 'unavailable'; readonly reason: string };

/** Collects steps, keeping the picture of the card up to date with each. */
export class Planner {
  readonly steps: Step[] = [];
  readonly kept: KeptFile[] = [];
  readonly #card: VirtualCard;
  readonly #chooser: Chooser;
  readonly #protectedPaths: ReadonlySet<string>;
  /** Folded path -> expected path it is used for. */
  readonly #claims = new Map<string, string>();
  readonly #clusterSize: number;

  constructor(input: ChooserInput & { readonly clusterSize: number }) {
    this.#card = input.card;
    this.#chooser = new Chooser(input);
    this.#protectedPaths = input.protectedPaths;
    this.#clusterSize = input.clusterSize;
  }

  /** Notes that a path is taken by bytes that are right. */
  claim(path: string): void {
    this.#claims.set(foldCase(path), path);
  }

  /**
   * Adds the steps that bring acceptable bytes to the group's path; or says why
   * not, and adds none. `repair`: in place of what the planner was made with.
   */
  place(group: Group, options: { readonly repair?: boolean } = {}): Failure | null {
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
    const choice = this.#chooser.choose(group, target, options);
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

  /** What stands at the target's name in any letter case, other than the bytes that are moved there. */
  #inTheWay(target: Target, choice: Choice): string[] {
    if (choice.kind === 'in-place') return [];
    const moved = isMove(choice.kind) ? this.#chooser.whereabouts(choice.candidate) : undefined;
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
    const from = this.#chooser.whereabouts(candidate) ?? candidate.origin.path;
    for (const path of ways) {
      const to = keptPath(this.#card, path);
      if (typeof to !== 'string') return problem(first, to);
      const size = this.#card.get(path)?.size ?? 0;
      this.kept.push({ path, to, size, firmware: first.id });
      this.#move(path, to);
    }
    this.#chooser.placed(group.expectedPath, candidate);
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
    this.#chooser.moved(from, to);
  }

  #holdsProtected(folder: string): boolean {
    const inside = `${folder}/`;
    return [...this.#protectedPaths].some((path) => path.startsWith(inside));
  }
}

function isMove(kind: StepKind | 'in-place'): boolean {
  return kind === 'rename' || kind === 'case-fix';
}

function problem(firmware: Firmware, about: Omit<PlanProblem, 'firmware'>): Failure {
  return { kind: 'problem', problems: [{ ...about, firmware: firmware.id }] };
}
