import type { Algorithm } from '../bytes/digests.js';
import type { ProgressCount } from '../bytes/progress.js';
import type { Entry, PileSource } from '../bytes/source.js';
import { buildInventory } from '../inventory/build-inventory.js';
import type { KnownDumps } from '../recognise/known-dumps.js';
import type { Origin } from '../recognise/origin.js';
import type { SearchInput, SearchResult, SourceFault } from '../recognise/found.js';
import { searchSources } from '../recognise/search.js';
import type { ListedFiles } from './namesakes.js';

/** Taken of all that is read, besides what the dumps need, so that a copy is never checked by a weak digest alone. */
export function besidesNeeded({ algorithms }: KnownDumps): readonly Algorithm[] {
  return algorithms.includes('sha1') || algorithms.includes('sha256') ? [] : ['sha1'];
}

/** Where bytes of an origin are read. */
export interface OriginFile {
  readonly files: PileSource['folder'];
  readonly path: string;
  /** Bytes, when last looked at. */
  readonly size: number;
}

/** The sources to place from. What they hold does not change by placing, so they are listed once, and searched once. */
export class Pile {
  readonly #sources: readonly ListedSource[];
  #searched: SearchResult | null = null;

  private constructor(sources: readonly ListedSource[]) {
    this.#sources = sources;
  }

  /** Throws what listing a source throws, and the signal's reason. */
  static async of(
    sources: readonly PileSource[],
    count: ProgressCount,
    signal?: AbortSignal,
  ): Promise<Pile> {
    const listed: ListedSource[] = [];
    for (const source of sources) {
      const { entries, faults } = await buildInventory(source.folder, { signal, count });
      const { name } = source;
      listed.push({ source, entries, faults: faults.map((fault) => ({ ...fault, source: name })) });
    }
    return new Pile(listed);
  }

  /** What is in each source, by what it is called. */
  get places(): readonly ListedFiles[] {
    return this.#sources.map(({ source, entries }) => ({
      source: source.name,
      entries,
      originPath: (path) => originPath(source, path),
    }));
  }

  /** What could not be listed. */
  get faults(): readonly SourceFault[] {
    return this.#sources.flatMap(({ faults }) => faults);
  }

  async search(input: Omit<SearchInput, 'sources' | 'always'>): Promise<SearchResult> {
    this.#searched ??= await searchSources({
      ...input,
      always: besidesNeeded(input.known),
      sources: this.#sources.map(({ source, entries }) => ({
        name: source.name,
        entries,
        content: source.folder,
        originPath: (path) => originPath(source, path),
      })),
    });
    return this.#searched;
  }

  /** A fault as it is told: a single file's path is that of its source. */
  fault(fault: SourceFault): SourceFault {
    const from = this.#sources.find(({ source }) => source.name === fault.source);
    return from === undefined ? fault : { ...fault, path: originPath(from.source, fault.path) };
  }

  /** Null for an origin in none of the sources. */
  locate(origin: Origin): OriginFile | null {
    const from = this.#sources.find(({ source }) => source.name === origin.source);
    if (from === undefined) return null;
    const { source, entries } = from;
    const entry = entries.find(({ path }) => originPath(source, path) === origin.path);
    return {
      files: source.folder,
      path: entry?.path ?? origin.path,
      size: entry?.size ?? 0,
    };
  }
}

interface ListedSource {
  readonly source: PileSource;
  /** In UTF-8 order of path. */
  readonly entries: readonly Entry[];
  readonly faults: readonly SourceFault[];
}

/** What an origin calls a path of a source: a single file is its source. */
function originPath({ kind }: PileSource, path: string): string {
  return kind === 'file' ? '' : path;
}
