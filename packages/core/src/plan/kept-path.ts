import { KEPT_FOLDER } from '../inventory/kept-folder.js';
import { FAT_MAX_NAME } from '../text/fat.js';
import type { Hindrance } from '../facts/plan-problem.js';
import type { KeptFile, Plan, Step } from './model.js';
import { resolveTarget } from './target.js';
import type { VirtualCard } from './virtual-card.js';

/**
 * Where a file in the way is kept: the same path below {@link KEPT_FOLDER},
 * numbered before the extension (`boot.2.bin`) when something is there already.
 */
export function keptPath(card: VirtualCard, path: string): string | Hindrance {
  for (let number = 1; ; number++) {
    const wanted = `${KEPT_FOLDER}/${number === 1 ? path : numbered(path, number)}`;
    const target = resolveTarget(card, wanted, true, () => false);
    if ('code' in target) return target;
    const taken = card.get(target.now) !== undefined || card.equalButForCase(target.now).length > 0;
    if (!taken) return target.path;
  }
}

/** What moves out of the way for a step: each firmware has at most one step that places a file. */
export function keptFor({ kept }: Pick<Plan, 'kept'>, step: Step): readonly KeptFile[] {
  if (step.kind === 'case-fix' && step.entry === 'folder') return [];
  return kept.filter(({ firmware }) => firmware === step.firmware);
}

function numbered(path: string, number: number): string {
  const slash = path.lastIndexOf('/');
  const name = path.slice(slash + 1);
  const dot = name.lastIndexOf('.');
  const stem = dot > 0 ? name.slice(0, dot) : name;
  const end = `.${number}${dot > 0 ? name.slice(dot) : ''}`;
  return path.slice(0, slash + 1) + cut(stem, Math.max(1, FAT_MAX_NAME - end.length)) + end;
}

/** At most `length` UTF-16 units, never half a surrogate pair. */
function cut(text: string, length: number): string {
  if (text.length <= length) return text;
  const end = /[\ud800-\udbff]/.test(text.charAt(length - 1)) ? length - 1 : length;
  return text.slice(0, end);
}
