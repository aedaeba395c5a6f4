/** Readiness from verdicts, by the rules alone. */
import type { FolderModel, RequirementModel, SystemModel } from './expectation.js';
import { isFile, sameUnderCase } from './oracle.js';
import type { Tree } from './tree.js';

type Level = 'ready' | 'unproven' | 'not-ready';
const LEVELS: readonly Level[] = ['ready', 'unproven', 'not-ready'];

export function readinessOf(
  system: SystemModel,
  verdicts: ReadonlyMap<string, string>,
  tree: Tree,
  ignoreCase: boolean,
): Level {
  const levels = system.requires.map((item) => levelOf(item, verdicts));
  const short = system.folders.some(
    (folder) => countFiles(folder, tree, ignoreCase) < (folder.atLeast ?? 1),
  );
  if (short) levels.push('not-ready');
  return worst(levels);
}

function levelOf(item: RequirementModel, verdicts: ReadonlyMap<string, string>): Level {
  const ids = typeof item === 'string' ? [item] : item;
  const levels = ids.map((id): Level => {
    const verdict = verdicts.get(id);
    return verdict === 'match' ? 'ready' : verdict === 'unverified' ? 'unproven' : 'not-ready';
  });
  return best(levels);
}

/** The first of an any-of that matches. */
export function satisfiedBy(
  ids: readonly string[],
  verdicts: ReadonlyMap<string, string>,
): string | null {
  return ids.find((id) => verdicts.get(id) === 'match') ?? null;
}

function countFiles({ path, extensions }: FolderModel, tree: Tree, ignoreCase: boolean): number {
  const start = path === '.' ? '' : `${path}/`;
  const depth = start.split('/').length - 1;
  const isBelow = (file: string): boolean => {
    const names = file.split('/');
    const beginning = names
      .slice(0, depth)
      .map((name) => `${name}/`)
      .join('');
    return (
      names.length > depth && (ignoreCase ? sameUnderCase(beginning, start) : beginning === start)
    );
  };
  const endings = extensions.map((extension) => `.${extension.toLowerCase()}`);
  return [...tree.nodes].filter(
    ([file, node]) =>
      isFile(node) &&
      isBelow(file) &&
      (endings.length === 0 || endings.some((ending) => file.toLowerCase().endsWith(ending))),
  ).length;
}

function worst(levels: readonly Level[]): Level {
  return LEVELS[Math.max(0, ...levels.map((level) => LEVELS.indexOf(level)))] ?? 'ready';
}

function best(levels: readonly Level[]): Level {
  return LEVELS[Math.min(...levels.map((level) => LEVELS.indexOf(level)))] ?? 'not-ready';
}
