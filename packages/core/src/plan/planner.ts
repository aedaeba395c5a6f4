import type { Firmware } from '../manifest/model.js';
import { foldCase } from '../text/fold.js';
import type { Origin } from '../recognise/origin.js';
import { provesNothing } from './candidate.js';
import { Chooser, type Choice, type ChooserInput, type Failure } from './chooser.js';
import { checkFatPath, FAT_MAX_FILE_SIZE } from '../text/fat.js';
import type { Group } from './group.js';
import { keptPath } from './kept-path.js';
import { hinders, hindrance, type Hindrance } from '../facts/plan-problem.js';
import type { FolderCaseFixStep, KeptFile, Step } from './model.js';
import type { ProtectedPaths } from './protected-paths.js';
import { clustersOfFile } from './space.js';
import { afterMove, resolveTarget, type Target } from './target.js';
import type { VirtualCard } from './virtual-card.js';
import { zipSize } from './zip-size.js';

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

  /** Whether bytes were found that are right for a firmware, or can be made right. */
  isProvided(firmware: Firmware): boolean {
    return this.#chooser.isProvided(firmware);
  }

  /** Whether bytes that some step writes, there or anywhere, are right for a firmware. */
  isWritten(firmware: string, path: string | null): boolean {
    return this.#chooser.isPlaced(firmware, path);
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
    const first = group.wanted.find((each) => !provesNothing(each)) ?? group.wanted[0];
    if (first === undefined) return null;
    const { expectedPath } = group;
    const claimed = this.#claims.get(foldCase(expectedPath));
    if (claimed !== undefined && claimed !== expectedPath) {
      const clash = { other: claimed, as: 'file' } as const;
      return problem(first, hindrance('name-clash', expectedPath, clash));
    }
    const target = resolveTarget(this.#card, expectedPath, group.ignoreCase, (folder) =>
      this.#protectedPaths.folders.has(folder),
    );
    if ('code' in target) return problem(first, target);
    const names = checkFatPath(target.path);
    if (names.length > 0) {
      const { path } = target;
      return problem(first, ...names.map((each) => ({ ...each, path })));
    }
    const choice = this.#chooser.choose(group, target, options);
    if (isFailure(choice)) return choice;
    const size = choice.kind === 'pack' ? 0 : choice.candidate.size;
    if (size > FAT_MAX_FILE_SIZE) {
      const tooLarge = { size, limit: FAT_MAX_FILE_SIZE };
      return problem(first, hindrance('fat-file-size', target.path, tooLarge));
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

  #blocks(path: string, target: Target): Hindrance | null {
    const kind = this.#card.get(path)?.kind ?? 'unknown';
    if (kind !== 'file') {
      return hindrance('not-a-file', path, { kind });
    }
    const holder = path === target.now ? this.#heldFor.get(target.path) : undefined;
    if (holder !== undefined) return hindrance('path-conflict', target.path, { holder });
    if (path !== target.now && this.#protectedPaths.files.has(path)) {
      return hindrance('name-clash', target.path, { other: path, as: 'file' });
    }
    const kept = keptPath(this.#card, path);
    return typeof kept === 'string' ? null : kept;
  }

  #commit(
    group: Group,
    first: Firmware,
    target: Target,
    choice: Choice,
    inTheWay: readonly string[],
  ): Failure | null {
    let ways = [...inTheWay];
    for (const { from, to } of target.fixes) {
      this.#card.move(from, to);
      ways = ways.map((path) => afterMove(path, from, to));
      const origin: Origin = { source: null, path: from, inside: [] };
      this.steps.push({
        kind: 'case-fix',
        entry: 'folder',
        firmware: first.id,
        from: origin,
        to,
        size: 0,
        clusters: 0,
      });
    }
    this.claim(group.expectedPath);
    if (choice.kind === 'in-place') return null;
    // The bytes are read before what is in the way moves: it may be what is repaired.
    const step = this.#stepFor(first, choice, target.path);
    for (const path of ways) {
      const to = keptPath(this.#card, path);
      if (typeof to !== 'string') return problem(first, to);
      const size = this.#card.get(path)?.size ?? 0;
      this.kept.push({ path, to, size, firmware: first.id });
      this.#card.move(path, to);
    }
    if (choice.kind !== 'pack') this.#chooser.placed(group.expectedPath, choice.candidate);
    if (step.kind === 'case-fix') this.#card.move(step.from.path, step.to);
    else this.#card.addFile(step.to, step.size);
    this.steps.push(step);
    return null;
  }

  #stepFor(
    { id: firmware }: Firmware,
    choice: Exclude<Choice, { kind: 'in-place' }>,
    to: string,
  ): Exclude<Step, FolderCaseFixStep> {
    if (choice.kind === 'pack') {
      const members = choice.members.map(({ path, candidate, dump }) => {
        const { remedy, size, digests } = candidate;
        return { path, from: this.#chooser.originNow(candidate), remedy, dump, size, digests };
      });
      const size = zipSize(members);
      return { kind: 'pack', firmware, members, to, size, clusters: this.#clusters(size) };
    }
    const { kind, candidate } = choice;
    const { size, digests, remedy } = candidate;
    const from = this.#chooser.originNow(candidate);
    const dump = this.#chooser.use(candidate, firmware)?.dump ?? null;
    const base = { firmware, dump, from, to, size, digests };
    if (kind === 'case-fix') return { kind, entry: 'file', ...base, clusters: 0 };
    const clusters = this.#clusters(size);
    if (remedy !== null) return { kind: 'repair', ...base, remedy, clusters };
    return { kind: kind === 'copy' ? 'copy' : 'extract', ...base, clusters };
  }

  #clusters(size: number): number {
    return clustersOfFile(size, this.#clusterSize);
  }
}

function problem({ id }: Firmware, ...hindrances: readonly Hindrance[]): Failure {
  return { kind: 'problem', problems: hindrances.map((each) => hinders(id, each)) };
}

function isFailure(choice: Choice | Failure): choice is Failure {
  return choice.kind === 'nowhere' || choice.kind === 'problem' || choice.kind === 'shared';
}
