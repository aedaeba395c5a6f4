import { isReadable, type Entry, type Listed } from '../bytes/source.js';
import type { Listing } from '../inventory/inventory.js';
import type { Firmware } from '../manifest/model.js';
import type { ExpectedFirmware } from '../manifest/selection.js';
import { judgeEntry, unreadable, type EntryFinding, type Reading } from './judge-entry.js';
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

/** What may stand at the expected path of an entry: the path itself, else those equal but for letter case. */
export function standingAt(path: string, inventory: Listing): readonly Listed[] {
  const there = inventory.get(path);
  return there === undefined ? inventory.equalButForCase(path) : [there];
}

/** Steps 1 and 2 of a verdict: the expected path, else a path equal to it but for letter case. */
export async function judgeExpected(
  expected: ExpectedFirmware,
  inventory: Listing,
  obstacles: Obstacles,
  reading: Reading,
): Promise<ExpectedFinding> {
  const { firmware, expectedPath } = expected;
  const there = inventory.get(expectedPath);
  if (there !== undefined) {
    const finding = await judgeListed(there, firmware, inventory, reading);
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
    const finding = await judgeListed(entry, firmware, inventory, reading);
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

async function judgeListed(
  item: Listed,
  firmware: Firmware,
  inventory: Listing,
  reading: Reading,
): Promise<EntryFinding> {
  let entry: Entry;
  try {
    entry = await inventory.sized(item);
  } catch (error) {
    return unreadable({ ...item, size: 0 }, reading.faults.note(item.path, error));
  }
  return judgeEntry(entry, firmware, reading);
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
