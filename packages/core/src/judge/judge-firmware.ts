import { contentPath } from '../bytes/entry-content.js';
import { ProgressCount } from '../bytes/progress.js';
import type { ContentSource, Entry, Fault } from '../bytes/source.js';
import type { Platform } from '../digest/engine.js';
import { USUAL_JOBS } from '../digest/source-task.js';
import type { Listing } from '../inventory/inventory.js';
import { isPresenceOnly } from '../manifest/model.js';
import type { ExpectedFirmware } from '../manifest/selection.js';
import { matchDump } from '../recognise/dumps.js';
import { AlgorithmPlan } from './algorithms.js';
import { eachLimited } from '../each-limited.js';
import { fact } from '../facts/fact.js';
import { FaultLog } from './fault-log.js';
import { FileDigests } from './file-digests.js';
import { expectedFolders, findElsewhere, type Wanted } from './find-elsewhere.js';
import { linkFacts, type EntryFinding, type Reading } from './judge-entry.js';
import { judgeExpected, standingAt, type ExpectedFinding } from './judge-expected.js';
import { ZipFiles } from './judge-members.js';
import { Obstacles, type Obstacle } from './obstacles.js';
import type { FirmwareVerdict, Verdict } from './verdict.js';

/** What judging takes. */
export interface JudgeInput {
  readonly expected: readonly ExpectedFirmware[];
  /** Sizes are looked up of what is read only, unless an entry is sought elsewhere. */
  readonly inventory: Listing;
  readonly folder: ContentSource;
  readonly platform: Platform;
  /** Makes every file a candidate for a misplaced entry; see {@link findElsewhere}. */
  readonly wide?: boolean | undefined;
  /** Files read at the same time; 8 when not given. */
  readonly jobs?: number | undefined;
  /** Counts what is read, in the phase that it is in. */
  readonly count?: ProgressCount | undefined;
}

/** What judging found. */
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
  const { expected, inventory, jobs = USUAL_JOBS } = input;
  const faults = new FaultLog();
  const { folder, platform } = input;
  const firmware = expected.map((one) => one.firmware);
  const reading: Reading = {
    digests: new FileDigests(folder, platform.engine, input.count ?? new ProgressCount(undefined)),
    plan: new AlgorithmPlan(firmware),
    zips:
      platform.archives === null
        ? null
        : new ZipFiles(firmware, folder, { ...platform, archives: platform.archives }),
    faults,
  };

  for (const { firmware: entry, expectedPath } of expected) {
    for (const item of standingAt(expectedPath, inventory)) {
      reading.plan.expectAt(contentPath(item), entry);
    }
  }
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
  let elsewhere: ReadonlyMap<Wanted, Entry> = new Map();
  if (wanted.size > 0) {
    const all = await inventory.sizes();
    const listed = new Set(inventory.faults);
    for (const fault of all.faults) if (!listed.has(fault)) faults.add(fault);
    elsewhere = await findElsewhere([...wanted.values()], all, reading, {
      wide: input.wide ?? false,
      folders: expectedFolders(expected),
      jobs,
    });
  }

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
  const { entry, outcome, dump, found, facts } = finding;
  const isMiscased = miscased && (outcome === 'right' || outcome === 'present');
  return {
    id: firmware.id,
    verdict: isMiscased ? 'miscased' : VERDICT_OF[outcome],
    proven: outcome === 'right',
    expectedPath,
    foundAt: (other ?? entry).path,
    dump: dump?.label ?? null,
    judged: entry.path,
    size: found?.size ?? null,
    digests: found?.digests ?? null,
    ...(found?.fill === undefined ? {} : { fill: found.fill }),
    facts,
  };
}

async function withoutFile(
  { firmware, expectedPath }: ExpectedFirmware,
  other: Entry | undefined,
  obstacle: Obstacle | null,
  reading: Reading,
): Promise<FirmwareVerdict> {
  const base = { id: firmware.id, expectedPath };
  const facts = obstacle === null ? [] : [obstacle.fact];
  if (other === undefined) {
    return {
      ...base,
      verdict: 'missing',
      proven: false,
      foundAt: null,
      dump: null,
      judged: null,
      size: null,
      digests: null,
      facts,
    };
  }
  // Digests that the search has taken already.
  const { digests, plan } = reading;
  const hashed = firmware.dumps.length > 0;
  const found = hashed ? await digests.of(other, plan.forCandidate(other.size)) : null;
  return {
    ...base,
    verdict: 'misplaced',
    proven: !isPresenceOnly(firmware),
    foundAt: other.path,
    dump: found === null ? null : (matchDump(found, firmware.dumps)?.label ?? null),
    judged: other.path,
    size: found?.size ?? other.size,
    digests: found?.digests ?? null,
    facts: [
      ...facts,
      ...linkFacts(other),
      ...(isPresenceOnly(firmware) ? [fact('no-digest', {})] : []),
    ],
  };
}
