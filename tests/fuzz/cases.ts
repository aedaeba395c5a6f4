import { hostileArchiveCase, knownArchiveCase } from './archive-case.js';
import { intoManifestCase } from './into-case.js';
import { damagedListCase, knownListCase } from './list-case.js';
import { growingListCase, growingManifestCase } from './growth-case.js';
import {
  changedManifestCase,
  damagedManifestCase,
  faultlessManifestCase,
  tortureManifestCase,
} from './manifest-case.js';
import { nestedArchiveCase } from './nested-case.js';
import { placementCase } from './placement-case.js';
import { diskTreeCase, memoryTreeCase } from './tree-case.js';

/** One kind of case: throws for what should not be. A case is its seed and nothing else. */
export interface CaseKind {
  readonly run: (seed: number) => Promise<void>;
  /** Cases in the long run, and in the quick part of the test suite. */
  readonly long: number;
  readonly quick: number;
}

export const CASES: Readonly<Record<string, CaseKind>> = {
  'manifest-faultless': { run: faultlessManifestCase, long: 5000, quick: 100 },
  'manifest-changed': { run: changedManifestCase, long: 7000, quick: 100 },
  'manifest-damaged': { run: damagedManifestCase, long: 6000, quick: 100 },
  'manifest-torture': { run: tortureManifestCase, long: 4000, quick: 60 },
  'list-known': { run: knownListCase, long: 5000, quick: 100 },
  'list-damaged': { run: damagedListCase, long: 4000, quick: 100 },
  'list-into': { run: intoManifestCase, long: 3000, quick: 60 },
  'manifest-growth': { run: growingManifestCase, long: 2000, quick: 6 },
  'list-growth': { run: growingListCase, long: 2000, quick: 6 },
  'tree-memory': { run: memoryTreeCase, long: 3500, quick: 100 },
  // Odd names and pipes as only Linux has them.
  ...(process.platform === 'linux'
    ? { 'tree-disk': { run: diskTreeCase, long: 400, quick: 8 } }
    : {}),
  // Letter case counts, as on Linux.
  ...(process.platform === 'linux'
    ? { placement: { run: placementCase, long: 1000, quick: 20 } }
    : {}),
  'archive-known': { run: knownArchiveCase, long: 1500, quick: 60 },
  'archive-hostile': { run: hostileArchiveCase, long: 1500, quick: 60 },
  'archive-nested': { run: nestedArchiveCase, long: 2000, quick: 20 },
};
