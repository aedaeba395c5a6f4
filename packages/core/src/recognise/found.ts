import type { ProgressCount } from '../bytes/progress.js';
import type { Algorithm, Digests } from '../bytes/digests.js';
import type { ContentSource, Entry, Fault } from '../bytes/source.js';
import type { Platform } from '../digest/engine.js';
import type { Fact } from '../facts/fact-values.js';
import type { Firmware } from '../manifest/model.js';
import type { DumpMatch } from './dump-index.js';
import type { KnownDumps, MatchedMember } from './known-dumps.js';
import type { Origin } from './origin.js';

/** One place that is searched: a source of the pile, or the card. */
export interface SearchedSource {
  /** As the caller named it; null is the card. */
  readonly name: string | null;
  readonly entries: readonly Entry[];
  readonly content: ContentSource;
  /** What an entry's path is called in an {@link Origin}; itself when not given. */
  readonly originPath?: (path: string) => string;
  /**
   * Given for a card, which is slow: whether a file of this path is read for
   * dumps without a size. Then only its name, not its first bytes, makes a
   * container, too.
   */
  readonly isLikely?: (path: string) => boolean;
}

/** What a search takes. */
export interface SearchInput {
  readonly sources: readonly SearchedSource[];
  readonly known: KnownDumps;
  readonly platform: Platform;
  /** Digests taken of everything that is hashed at all, besides what the dumps need. */
  readonly always?: readonly Algorithm[];
  /** Files read at once; 8 when not given. */
  readonly jobs?: number | undefined;
  readonly signal?: AbortSignal | undefined;
  /** Counts what is read, in the phase that it is in. */
  readonly count?: ProgressCount | undefined;
}

/** A file, or what lies inside one, and what its bytes are. */
export interface Found {
  readonly origin: Origin;
  /** The source it is in, and the entry of the file itself. */
  readonly source: SearchedSource;
  readonly entry: Entry;
  /** Path, or inside a container the member's: what a name can tell. */
  readonly name: string;
  /** Bytes, uncompressed. */
  readonly size: number;
  /** Null when nothing about it made it worth hashing. */
  readonly digests: Digests | null;
  /** Entries whose dump it is, as it stands. */
  readonly matches: readonly DumpMatch[];
  /** Members of ZIP entries whose bytes it has. */
  readonly memberOf: readonly MatchedMember[];
  /** Entries all of whose members this ZIP has. */
  readonly zipFor: readonly Firmware[];
  /** How it was opened; null for what is no container, or was not opened. */
  readonly container: 'zip' | 'gzip' | null;
  /** Whether it could not be read; a fault says why. */
  readonly unread: boolean;
  /** What was not looked at inside. */
  readonly facts: readonly Fact<'not-looked-at'>[];
}

/** Something of a source that could not be read. */
export interface SourceFault extends Fault {
  /** As {@link SearchedSource.name}. */
  readonly source: string | null;
}

/** What a search found. */
export interface SearchResult {
  /** In the order of the sources and their entries; what is inside comes after its file. */
  readonly found: readonly Found[];
  readonly faults: readonly SourceFault[];
}
