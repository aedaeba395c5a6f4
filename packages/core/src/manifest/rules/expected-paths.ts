import { addTo } from '../../collections.js';
import { foldCase } from '../../text/fold.js';
import { MAX_LOADOUT_ENTRIES } from '../limits.js';
import type { WrittenDump, WrittenFirmware, WrittenMember } from '../written.js';
import type { ProblemList } from './problem-list.js';
import type { Rule } from '../problem.js';
import type { CheckedRule } from './rule.js';
import { compareDumps, digestKeys } from './shared/dumps.js';
import { layouts, type Home } from './shared/layouts.js';

export const pathConflict: CheckedRule = {
  id: 'path-conflict',
  severity: 'error',
  description:
    'Entries with one expected path have a dump in common, and no file is where another needs a folder.',
  check({ files, problems }) {
    const pairs = new PairReporter(pathConflict, problems);
    for (const homes of layouts(files).homes) {
      const byPath = new Map<string, Home[]>();
      // As paths are compared everywhere: a name composed in another way is the same name.
      for (const home of homes) addTo(byPath, home.path.normalize('NFC'), home);
      for (const [path, group] of byPath) {
        for (const [index, other] of group.entries()) {
          for (const earlier of group.slice(0, Math.min(index, MAX_COMPARED))) {
            if (canShare(earlier.firmware, other.firmware)) continue;
            pairs.add(
              other,
              earlier,
              `"${other.firmware.id.value}" and "${earlier.firmware.id.value}" are both expected at "${path}" but have no dump in common.`,
            );
            // The first says it; to the rest the entry compares no better.
            break;
          }
        }
        const [first] = group;
        if (first === undefined) continue;
        for (let end = path.lastIndexOf('/'); end > 0; end = path.lastIndexOf('/', end - 1)) {
          const file = byPath.get(path.slice(0, end))?.[0];
          if (file === undefined) continue;
          pairs.add(
            first,
            file,
            `"${path}" needs a folder where "${file.firmware.id.value}" is expected as a file.`,
          );
        }
      }
    }
  },
};

/** Of a crowd on one path, each is compared with the first so many: enough to see it, and not quadratic. */
const MAX_COMPARED = 20;

/**
 * Whether one file can satisfy both. Assumed where finding out takes too long,
 * as only what was looked at is said to conflict.
 */
function canShare(a: WrittenFirmware, b: WrittenFirmware): boolean {
  if (a.members !== null && b.members !== null) return membersAgree(a.members, b.members);
  if (a.members !== null || b.members !== null) return false;
  if (a.dumps.length === 0 && b.dumps.length === 0) return true;
  return shareDump(a.dumps, b.dumps);
}

function membersAgree(a: readonly WrittenMember[], b: readonly WrittenMember[]): boolean {
  const [few, many] = a.length < b.length ? [a, b] : [b, a];
  const byPath = membersByPath.of(many);
  return few.every((member) => {
    const other = byPath.get(member.path?.value);
    return other === undefined || shareDump(member.dumps, other.dumps);
  });
}

function shareDump(a: readonly WrittenDump[], b: readonly WrittenDump[]): boolean {
  const [few, many] = a.length < b.length ? [a, b] : [b, a];
  const byDigest = dumpsByDigest.of(many);
  let compared = 0;
  return few.some((dump) =>
    digestKeys(dump).some((key) =>
      (byDigest.get(key) ?? []).some(
        (other) => ++compared > MOST_COMPARED || compareDumps(dump, other) === 'same',
      ),
    ),
  );
}

/** What is made of a list once, however many it is compared with. */
class Indexes<T, I> {
  readonly #made = new WeakMap<readonly T[], I>();
  readonly #make: (list: readonly T[]) => I;

  constructor(make: (list: readonly T[]) => I) {
    this.#make = make;
  }

  of(list: readonly T[]): I {
    const known = this.#made.get(list);
    if (known !== undefined) return known;
    const made = this.#make(list);
    this.#made.set(list, made);
    return made;
  }
}

const membersByPath = new Indexes(
  (list: readonly WrittenMember[]) => new Map(list.map((member) => [member.path?.value, member])),
);

const dumpsByDigest = new Indexes((list: readonly WrittenDump[]) => {
  const byDigest = new Map<string, WrittenDump[]>();
  for (const dump of list) for (const key of digestKeys(dump)) addTo(byDigest, key, dump);
  return byDigest;
});

/** Dumps with a digest in common that are compared for two entries; more than that share one only in a hostile file. */
const MOST_COMPARED = 10_000;

export const caseClash: CheckedRule = {
  id: 'case-clash',
  severity: 'error',
  description: 'No two expected paths differ in letter case only.',
  check({ files, problems }) {
    const pairs = new PairReporter(caseClash, problems);
    for (const homes of layouts(files).homes) {
      const byFolded = new Map<string, Home>();
      for (const home of homes) {
        const folded = foldCase(home.path);
        const first = byFolded.get(folded);
        if (first === undefined) byFolded.set(folded, home);
        // A name composed in another way is the same name (UAX #15), not another case of it.
        else if (nfc(first.path) !== nfc(home.path)) {
          pairs.add(
            home,
            first,
            `"${home.path}" differs from "${first.path}" in letter case only; a FAT card or Windows holds just one of them.`,
          );
        }
      }
    }
  },
};

function nfc(path: string): string {
  return path.normalize('NFC');
}

export const loadoutLimit: CheckedRule = {
  id: 'loadout-limit',
  severity: 'error',
  description: `Loadouts with a folder of their own name at most ${MAX_LOADOUT_ENTRIES} firmware, all together.`,
  check({ files, problems }) {
    const { leftOut } = layouts(files);
    if (leftOut === null) return;
    problems.add(loadoutLimit, leftOut.id.spot, {
      message: `The loadouts up to here name more than ${MAX_LOADOUT_ENTRIES} firmware, so the paths of the others cannot be checked.`,
      advice: 'split the manifest',
    });
  },
};

/** Reports each pair of entries once, however many layouts they meet in. */
class PairReporter {
  readonly #rule: Rule;
  readonly #problems: ProblemList;
  readonly #done = new Set<string>();

  constructor(rule: Rule, problems: ProblemList) {
    this.#rule = rule;
    this.#problems = problems;
  }

  /** At the path of the one written later. */
  add(a: Home, b: Home, message: string): void {
    const key = JSON.stringify([a.firmware.id.value, b.firmware.id.value].sort());
    if (this.#done.has(key)) return;
    this.#done.add(key);
    const spotOf = (home: Home): Home['firmware']['id']['spot'] =>
      home.firmware.path?.spot ?? home.firmware.id.spot;
    this.#problems.add(this.#rule, spotOf(a), {
      message,
      related: [{ message: 'the other one is here', spot: spotOf(b) }],
    });
  }
}
