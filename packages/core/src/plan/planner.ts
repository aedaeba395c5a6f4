import type { Firmware } from '../manifest/model.js';
import { foldCase } from '../text/fold.js';
import type { Candidate } from './candidate.js';
import { Chooser, type Choice, type ChooserInput } from './chooser.js';
import { checkFatPath, FAT_MAX_FILE_SIZE } from '../text/fat.js';
import { isPresenceOnly } from '../manifest/model.js';
import type { Group } from './group.js';
import { keptPath } from './kept-path.js';
import type { KeptFile, PlanProblem, Step, StepKind } from './model.js';
import type { ProtectedPaths } from './protected-paths.js';
import { clustersOfFile } from './space.js';
import { afterMove, resolveTarget, type Target } from './target.js';
import type { VirtualCard } from './virtual-card.js';

/** Why a group cannot be placed. */
export type Failure =
  | { readonly kind: 'problem'; readonly problems: readonly PlanProblem[] }
  | { readonly kind: 'unavailable'; readonly reason: string };

export interface PlannerInput extends ChooserInput {
  /** Expected paths whose file is right for a firmware of another system or loadout, and its id. */
  readonly heldFor: ReadonlyMap<string, string>;
  /** Bytes. */
  readonly clusterSize: number;
}

/** Collects steps, keeping the picture of the card up to date with each. */
export class Planner {
  readonly steps: Step[] = [];
  readonly kept: KeptFile[] = [];
  readonly #card: VirtualCard;
  readonly #chooser: Chooser;
  readonly #protectedPaths: ProtectedPaths;
  readonly #heldFor: ReadonlyMap<string, string>;
  /** Folded path -> expected path it is used for. */
  readonly #claims = new Map<string, string>();
  readonly #clusterSize: number;

  constructor(input: PlannerInput) {
    this.#card = input.card;
    this.#chooser = new Chooser(input);
    this.#protectedPaths = input.protectedPaths;
    this.#heldFor = input.heldFor;
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
      this.#protectedPaths.folders.has(folder),
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
    const moved =
      choice.kind === 'case-fix' ? this.#chooser.originNow(choice.candidate).path : undefined;
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
    const holder = path === target.now ? this.#heldFor.get(target.path) : undefined;
    if (holder !== undefined) {
      return {
        rule: 'path-conflict',
        path: target.path,
        message: `The file there is right for ${holder}, which another system or loadout expects there.`,
      };
    }
    if (path !== target.now && this.#protectedPaths.files.has(path)) {
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
    let ways = [...inTheWay];
    for (const { from, to } of target.fixes) {
      this.#card.move(from, to);
      ways = ways.map((path) => afterMove(path, from, to));
      this.#add({ kind: 'case-fix', entry: 'folder', firmware: first.id, dump: null }, from, to);
    }
    this.claim(group.expectedPath);
    if (kind === 'in-place') return null;
    // The bytes are read before what is in the way moves: it may be what is repaired.
    const from = this.#chooser.originNow(candidate);
    for (const path of ways) {
      const to = keptPath(this.#card, path);
      if (typeof to !== 'string') return problem(first, to);
      const size = this.#card.get(path)?.size ?? 0;
      this.kept.push({ path, to, size, firmware: first.id });
      this.#card.move(path, to);
    }
    this.#chooser.placed(group.expectedPath, candidate);
    this.#addFile(first, kind, candidate, { from, to: target.path });
    return null;
  }

  #addFile(
    first: Firmware,
    kind: StepKind,
    candidate: Candidate,
    { from, to }: Pick<Step, 'from' | 'to'>,
  ): void {
    const { size, digests, remedy } = candidate;
    if (kind === 'case-fix') this.#card.move(from.path, to);
    else this.#card.addFile(to, size);
    this.steps.push({
      kind,
      entry: 'file',
      firmware: first.id,
      dump: this.#chooser.use(candidate, first.id)?.dump ?? null,
      from,
      remedy,
      to,
      size,
      clusters: kind === 'case-fix' ? 0 : clustersOfFile(size, this.#clusterSize),
      digests,
    });
  }

  #add(step: Pick<Step, 'kind' | 'entry' | 'firmware' | 'dump'>, from: string, to: string): void {
    this.steps.push({
      ...step,
      from: { source: null, path: from, inside: [] },
      remedy: null,
      to,
      size: 0,
      clusters: 0,
      digests: null,
    });
  }
}

function problem(firmware: Firmware, about: Omit<PlanProblem, 'firmware'>): Failure {
  return { kind: 'problem', problems: [{ ...about, firmware: firmware.id }] };
}
