import { isReadable } from '../bytes/source.js';
import type { Inventory } from '../inventory/inventory.js';
import type { ExpectedFirmware } from '../manifest/selection.js';
import { judgeEntry, type EntryFinding, type Reading } from './judge-entry.js';

/** What stands at the expected path. */
export interface ExpectedFinding {
  /** Null when neither the path nor one equal but for letter case is there. */
  readonly finding: EntryFinding | null;
  /** Whether the letter case of the path differs, and that counts. */
  readonly miscased: boolean;
}

/** Steps 1 and 2 of a verdict: the expected path, else a path equal to it but for letter case. */
export async function judgeExpected(
  expected: ExpectedFirmware,
  inventory: Inventory,
  reading: Reading,
): Promise<ExpectedFinding> {
  const { firmware, expectedPath } = expected;
  const there = inventory.get(expectedPath);
  if (there !== undefined) {
    return { finding: await judgeEntry(there, firmware, reading), miscased: false };
  }
  const ignoresCase = firmware.case === 'ignore';
  const variants = inventory
    .equalButForCase(expectedPath)
    // A folder of such a name is nothing to the entry, unless letter case is nothing to it.
    .filter((entry) => ignoresCase || isReadable(entry));
  let lowest: EntryFinding | null = null;
  for (const entry of variants) {
    const finding = await judgeEntry(entry, firmware, reading);
    if (finding.outcome === 'right' || finding.outcome === 'present') {
      return { finding, miscased: !ignoresCase };
    }
    lowest ??= finding;
  }
  return { finding: lowest, miscased: lowest !== null && !ignoresCase };
}
