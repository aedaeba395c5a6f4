import {
  gatherCandidates,
  gatherRepairs,
  isLikelyOnCard,
  type Algorithm,
  type Candidate,
  type ContentSource,
  type DigestOptions,
  type Entry,
  type ExpectedFirmware,
  type Fault,
  type FileDigester,
  type FirmwareVerdict,
  type Inventory,
  type Manifest,
} from '@firmtally/core';
import { zipReader } from '../archive/zip-reader.js';
import { createDigester, type DigesterOptions } from '../digest/digester.js';
import type { HostFiles, HostFolder } from '../folder/open-folder.js';
import { cachedDigester } from './cached-digester.js';
import { nativeDigestBytes, nativeDigestStream } from '../digest/native-digests.js';
import type { PileSource } from './sources.js';

/** The card as it was found. */
export interface SearchedCard {
  readonly folder: HostFolder;
  readonly inventory: Inventory;
  readonly digester: FileDigester;
  readonly verdicts: readonly FirmwareVerdict[];
}

export interface Search {
  readonly wanted: readonly ExpectedFirmware[];
  readonly note: (source: string | null, faults: readonly Fault[]) => void;
  /** Told the file that is looked at, as it was named. */
  readonly onFile: ((path: string) => void) | undefined;
}

export interface SearchOptions {
  readonly sources: readonly PileSource[];
  readonly manifest: Manifest;
  /** Whether damage is looked for in files of any name. */
  readonly repair: boolean;
  readonly digesting: DigesterOptions;
  readonly reading: PileReading;
}

/** How files are read: see {@link cachedDigester}. */
export interface PileReading {
  readonly algorithms: readonly Algorithm[];
  readonly now: () => DigestOptions;
}

/** Looks in the pile and on the card for bytes that can be placed. */
export class CandidateSearch {
  readonly #sources: readonly PileSource[];
  readonly #manifest: Manifest;
  readonly #repair: boolean;
  readonly #digesting: DigesterOptions;
  readonly #reading: PileReading;
  /** The pile does not change by placing: what it holds for one firmware is found once. */
  readonly #digesters = new Map<HostFiles, FileDigester & { close(): Promise<void> }>();

  constructor({ sources, manifest, repair, digesting, reading }: SearchOptions) {
    this.#reading = reading;
    this.#sources = sources;
    this.#manifest = manifest;
    this.#repair = repair;
    this.#digesting = digesting;
  }

  /** What can be placed for `wanted`, the pile's first; what cannot be read goes to `note`. */
  async find(card: SearchedCard, { wanted, note, onFile }: Search): Promise<Candidate[]> {
    if (wanted.length === 0) return [];
    const candidates: Candidate[] = [];
    const add = async (from: GatherFrom): Promise<void> => {
      const gathered = await gatherCandidates({
        ...from,
        archives: zipReader,
        digestStream: nativeDigestStream,
        wanted,
        known: this.#manifest.firmware.values(),
        ...(onFile === undefined ? {} : { onFile }),
      });
      candidates.push(...gathered.candidates);
      note(from.source, gathered.faults);
    };
    for (const source of this.#sources) {
      note(source.name, source.faults);
      await add({
        source: source.name,
        entries: source.entries,
        folder: source.files,
        digester: this.#digesterOf(source),
        originPath: (path) => source.originPath(path),
      });
    }
    await add({
      source: null,
      entries: card.inventory.entries,
      folder: card.folder,
      digester: card.digester,
      isLikely: isLikelyOnCard(wanted),
    });
    candidates.push(...(await this.#findRepairs(card, wanted, candidates)));
    return candidates;
  }

  async #findRepairs(
    card: SearchedCard,
    wanted: readonly ExpectedFirmware[],
    found: readonly Candidate[],
  ): Promise<Candidate[]> {
    const have = new Set(found.flatMap((each) => each.uses.map((use) => use.firmware)));
    const lacking = wanted.filter(({ firmware }) => !have.has(firmware.id));
    if (lacking.length === 0) return [];
    const shared = {
      archives: zipReader,
      digestBytes: nativeDigestBytes,
      digestStream: nativeDigestStream,
      manifest: this.#manifest,
    };
    const repairs: Candidate[] = [];
    for (const source of this.#sources) {
      const more = await gatherRepairs({
        ...shared,
        source: source.name,
        entries: source.entries,
        folder: source.files,
        originPath: (path) => source.originPath(path),
        wanted: lacking,
        anyName: this.#repair,
      });
      repairs.push(...more);
    }
    const judged = new Set(card.verdicts.map((each) => each.judged));
    const damaged = card.inventory.entries.filter(({ path }) => judged.has(path));
    const onCard = { source: null, entries: damaged, folder: card.folder };
    repairs.push(
      ...(await gatherRepairs({ ...shared, ...onCard, wanted: lacking, anyName: this.#repair })),
    );
    return repairs;
  }

  #digesterOf(source: PileSource): FileDigester {
    const known = this.#digesters.get(source.files);
    if (known !== undefined) return known;
    const { algorithms, now } = this.#reading;
    const made = cachedDigester(createDigester(source.files, this.#digesting), algorithms, now);
    this.#digesters.set(source.files, made);
    return made;
  }

  /** Ends the threads. */
  async close(): Promise<void> {
    for (const digester of this.#digesters.values()) await digester.close();
    this.#digesters.clear();
  }
}

interface GatherFrom {
  readonly source: string | null;
  readonly entries: readonly Entry[];
  readonly folder: ContentSource;
  readonly digester: FileDigester;
  readonly originPath?: (path: string) => string;
  readonly isLikely?: (path: string) => boolean;
}
