import type { ArchiveReader } from '../bytes/archive.js';
import type { ContentSource, Entry, Fault } from '../bytes/source.js';
import type { DigestStream, FileDigester } from '../digest/engine.js';
import type { Inventory } from '../inventory/inventory.js';
import type { ExpectedFirmware } from '../manifest/selection.js';
import { AlgorithmPlan } from './algorithms.js';
import { eachLimited } from '../each-limited.js';
import { FaultLog } from './fault-log.js';
import { FileDigests, type ReadingProgress } from './file-digests.js';
import { expectedFolders, findElsewhere, type Wanted } from './find-elsewhere.js';
import { linkDetail, matchAt, type EntryFinding, type Reading } from './judge-entry.js';
import { judgeExpected, type ExpectedFinding } from './judge-expected.js';
import { Obstacles, type Obstacle } from './obstacles.js';
import type { FirmwareVerdict, Verdict } from './verdict.js';

export interface JudgeInput {
  readonly expected: readonly ExpectedFirmware[];
  readonly inventory: Inventory;
  readonly folder: ContentSource;
  readonly digester: FileDigester;
  /** Null: `members` entries are `unreadable`. */
  readonly archives: ArchiveReader | null;
  readonly digestStream: DigestStream;
  /** Makes every file a candidate for a misplaced entry; see {@link findElsewhere}. */
  readonly wide?: boolean;
  /** Files read at the same time; 4 when not given. */
  readonly jobs?: number;
  readonly onProgress?: (progress: ReadingProgress) => void;
}

export interface Judgement {
  /** In the order of `expected`. */
  readonly verdicts: readonly FirmwareVerdict[];
  /** In UTF-8 order of path; of reading only, not those of the inventory. */
  readonly faults: readonly Fault[];
}

/**
 * The verdict on each expected firmware. Two rounds, so that of a folder in
 * order only the expected files are read: what stands at the expected paths,
 * then candidates elsewhere for entries that are not satisfied there.
 */
export async function judgeFirmware(input: JudgeInput): Promise<Judgement> {
  const { expected, inventory, jobs = 4 } = input;
  const faults = new FaultLog();
  const reading: Reading = {
    folder: input.folder,
    digests: new FileDigests(input.digester, input.onProgress),
    plan: new AlgorithmPlan(expected.map(({ firmware }) => firmware)),
    archives: input.archives,
    digestStream: input.digestStream,
    faults,
  };

  const obstacles = new Obstacles(inventory);
  const atExpected = new Map<ExpectedFirmware, ExpectedFinding>();
  await eachLimited(expected, jobs, async (one) => {
    atExpected.set(one, await judgeExpected(one, inventory, obstacles, reading));
  });

  const wanted = new Map<ExpectedFirmware, Wanted>();
  for (const [one, { finding, miscased }] of atExpected) {
    // A wrong file under a miscased name is itself what there is to say.
    const isWanted = finding === null || (finding.outcome === 'wrong' && !miscased);
    if (isWanted) wanted.set(one, { expected: one, not: finding?.entry ?? null });
  }
  const elsewhere = await findElsewhere([...wanted.values()], inventory, reading, {
    wide: input.wide ?? false,
    folders: expectedFolders(expected),
    jobs,
  });

  const verdicts: FirmwareVerdict[] = [];
  for (const one of expected) {
    const { finding, miscased, obstacle } = atExpected.get(one) ?? NOTHING;
    const search = wanted.get(one);
    const other = search === undefined ? undefined : elsewhere.get(search);
    const verdict =
      finding === null
        ? await withoutFile(one, other, obstacle, reading)
        : withFile(one, finding, miscased, other);
    verdicts.push(obstacle === null ? verdict : { ...verdict, obstacle });
  }
  return { verdicts, faults: faults.sorted() };
}

const NOTHING: ExpectedFinding = { finding: null, miscased: false, obstacle: null };

const VERDICT_OF: Readonly<Record<EntryFinding['outcome'], Verdict>> = {
  right: 'match',
  wrong: 'mismatch',
  present: 'unverified',
  unreadable: 'unreadable',
};

function withFile(
  { firmware, expectedPath }: ExpectedFirmware,
  finding: EntryFinding,
  miscased: boolean,
  other: Entry | undefined,
): FirmwareVerdict {
  const { entry, outcome, dump, size, digests, detail } = finding;
  const isMiscased = miscased && (outcome === 'right' || outcome === 'present');
  return {
    id: firmware.id,
    verdict: isMiscased ? 'miscased' : VERDICT_OF[outcome],
    expectedPath,
    foundAt: (other ?? entry).path,
    dump,
    judged: entry.path,
    size,
    digests,
    detail,
  };
}

async function withoutFile(
  { firmware, expectedPath }: ExpectedFirmware,
  other: Entry | undefined,
  obstacle: Obstacle | null,
  reading: Reading,
): Promise<FirmwareVerdict> {
  const base = { id: firmware.id, expectedPath };
  const detail = obstacle === null ? [] : [obstacle.detail];
  if (other === undefined) {
    return {
      ...base,
      verdict: 'missing',
      foundAt: null,
      dump: null,
      judged: null,
      size: null,
      digests: null,
      detail,
    };
  }
  const match = firmware.dumps.length === 0 ? null : await matchAt(other, firmware, reading);
  return {
    ...base,
    verdict: 'misplaced',
    foundAt: other.path,
    dump: match?.dump.label ?? null,
    judged: other.path,
    size: match?.size ?? other.size,
    digests: match?.digests ?? null,
    detail: [...detail, ...linkDetail(other)],
  };
}
