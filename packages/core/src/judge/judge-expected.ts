import { isReadable } from '../bytes/source.js';
import type { Inventory } from '../inventory/inventory.js';
import type { ExpectedFirmware } from '../manifest/selection.js';
import { judgeEntry, type EntryFinding, type Reading } from './judge-entry.js';
import type { Obstacle, Obstacles } from './obstacles.js';

/** What stands at the expected path. */
export interface ExpectedFinding {
  /** Null when neither the path nor one equal but for letter case is there. */
  readonly finding: EntryFinding | null;
  /** Whether the letter case of the path differs, and that counts. */
  readonly miscased: boolean;
  /** What stands in the way of the path; null when nothing does, or something is there. */
  readonly obstacle: Obstacle | null;
}

/** Steps 1 and 2 of a verdict: the expected path, else a path equal to it but for letter case. */
export async function judgeExpected(
  expected: ExpectedFirmware,
  inventory: Inventory,
  obstacles: Obstacles,
  reading: Reading,
): Promise<ExpectedFinding> {
  const { firmware, expectedPath } = expected;
  const there = inventory.get(expectedPath);
  if (there !== undefined) {
    const finding = await judgeEntry(there, firmware, reading);
    return { finding, miscased: false, obstacle: null };
  }
  const ignoresCase = firmware.case === 'ignore';
  const obstacle = obstacles.to(expectedPath, ignoresCase);
  // That nobody could look is not that nothing is there.
  if (obstacle?.kind === 'unlisted') {
    return { finding: notLookedAt(expectedPath, obstacle), miscased: false, obstacle };
  }
  const variants = inventory
    .equalButForCase(expectedPath)
    // A folder of such a name is nothing to the entry, unless letter case is nothing to it.
    .filter((entry) => ignoresCase || isReadable(entry));
  let lowest: EntryFinding | null = null;
  for (const entry of variants) {
    const finding = await judgeEntry(entry, firmware, reading);
    if (finding.outcome === 'right' || finding.outcome === 'present') {
      return { finding, miscased: !ignoresCase, obstacle: null };
    }
    lowest ??= finding;
  }
  return {
    finding: lowest,
    miscased: lowest !== null && !ignoresCase,
    obstacle: lowest === null ? obstacle : null,
  };
}

function notLookedAt(path: string, obstacle: Obstacle): EntryFinding {
  return {
    entry: { path, kind: 'unknown', size: 0 },
    outcome: 'unreadable',
    dump: null,
    found: null,
    facts: [obstacle.fact],
  };
}
