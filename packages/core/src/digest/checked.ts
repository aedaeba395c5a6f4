import { abortable, orAborted } from '../bytes/abort.js';
import type { Archive, ArchiveReader } from '../bytes/archive.js';
import { checkedOpen } from '../bytes/checked-source.js';
import {
  DIGEST_LENGTH,
  type Algorithm,
  type DigestOptions,
  type Digests,
  type StreamDigests,
} from '../bytes/digests.js';
import {
  ReadError,
  type ContentSource,
  type FolderSource,
  type PileSource,
} from '../bytes/source.js';
import { FirmtallyError } from '../errors.js';
import type { DigestEngine, Platform } from './engine.js';
import { PlatformFailure } from './platform-failure.js';

/**
 * A caller's own folder, checked where its bytes and digests come in: a digest
 * in capitals would match nothing, and be a wrong verdict far from here. An
 * error of it names the path. What it lists is checked by whoever collects it.
 *
 * @param signal ends every reading, whether or not the folder heeds it
 */
export function checkedFolder(folder: FolderSource, signal?: AbortSignal): FolderSource {
  const { names } = folder;
  return {
    ...checkedContent(folder, signal),
    list: (options) => folder.list(options),
    ...(names === undefined ? {} : { names }),
  };
}

/** The same of the sources of a pile. */
export function checkedPile(
  sources: readonly PileSource[],
  signal: AbortSignal | undefined,
): PileSource[] {
  return sources.map((source) => ({ ...source, folder: checkedFolder(source.folder, signal) }));
}

/** The same of a source that nothing is listed of. */
export function checkedContent(source: ContentSource, signal?: AbortSignal): ContentSource {
  const open: ContentSource['open'] = (path, range) => checkedOpen(source, path, range, signal);
  const digest = source.digestFile?.bind(source);
  if (digest === undefined) return { open };
  return {
    open,
    digestFile: async (path, algorithms, options = {}) => {
      const { thrown, guarded } = guard(options);
      const own = signal === undefined ? guarded : { ...guarded, signal };
      try {
        const digesting = digest(path, algorithms, own);
        return checkedDigests(await orAborted(digesting, own.signal), algorithms);
      } catch (error) {
        if (thrown.includes(error)) throw error;
        throw failure('engine-invalid', error, own.signal, path);
      }
    },
  };
}

/** A caller's own engine and archive reader, checked in the same way. */
export function checkedPlatform({ engine, archives }: Platform, signal?: AbortSignal): Platform {
  return {
    engine: checkedEngine(engine, signal),
    archives: archives === null ? null : checkedArchives(archives, signal),
  };
}

function checkedEngine(engine: DigestEngine, signal: AbortSignal | undefined): DigestEngine {
  const guarded = <Result>(work: () => Result): Result => {
    try {
      return work();
    } catch (error) {
      throw failure('engine-invalid', error, signal);
    }
  };
  return {
    name: engine.name,
    create: async (algorithms) => {
      try {
        const hasher = await orAborted(engine.create(algorithms), signal);
        return {
          update: (chunk) => guarded(() => hasher.update(chunk)),
          digest: () => guarded(() => hexOnly(hasher.digest(), algorithms)),
        };
      } catch (error) {
        throw failure('engine-invalid', error, signal);
      }
    },
  };
}

function checkedArchives(archives: ArchiveReader, signal: AbortSignal | undefined): ArchiveReader {
  const guarded = async <Result>(work: () => Promise<Result>): Promise<Result> => {
    try {
      return await orAborted(work(), signal);
    } catch (error) {
      throw failure('archives-invalid', error, signal);
    }
  };
  const checked = (archive: Archive): Archive => ({
    members: archive.members,
    read: async function* (member) {
      try {
        yield* abortable(archive.read(member), signal);
      } catch (error) {
        throw failure('archives-invalid', error, signal);
      }
    },
    close: () => guarded(() => archive.close()),
  });
  const gunzip = archives.gunzip?.bind(archives);
  return {
    open: async (bytes) => checked(await guarded(() => archives.open(bytes))),
    ...(gunzip === undefined
      ? {}
      : { gunzip: (source, limit) => guarded(() => gunzip(source, limit)) }),
  };
}

/** What the library itself can tell of stays as it is. */
function failure(
  code: PlatformFailure['code'],
  error: unknown,
  signal: AbortSignal | undefined,
  path: string | null = null,
): unknown {
  if (error instanceof ReadError || error instanceof FirmtallyError) return error;
  if (signal?.aborted === true && error === signal.reason) return error;
  return new PlatformFailure(code, error, path);
}

/** Tells what a callback threw from what the source did. */
function guard(options: DigestOptions): {
  readonly thrown: readonly unknown[];
  readonly guarded: DigestOptions;
} {
  const thrown: unknown[] = [];
  const { onBytes } = options;
  if (onBytes === undefined) return { thrown, guarded: options };
  const call = (count: number): void => {
    try {
      onBytes(count);
    } catch (error) {
      thrown.push(error);
      throw error;
    }
  };
  return { thrown, guarded: { ...options, onBytes: call } };
}

function checkedDigests(found: StreamDigests, algorithms: readonly Algorithm[]): StreamDigests {
  if (!Number.isSafeInteger(found.size) || found.size < 0) {
    throw new TypeError(`it gives ${String(found.size)} as size, which is no count of bytes`);
  }
  hexOnly(found.digests, algorithms);
  return found;
}

function hexOnly(digests: Digests, algorithms: readonly Algorithm[]): Digests {
  for (const algorithm of algorithms) {
    const digest: unknown = digests[algorithm];
    const length = DIGEST_LENGTH[algorithm];
    if (typeof digest === 'string' && digest.length === length && HEX.test(digest)) continue;
    throw new TypeError(
      `it gives ${digest === undefined ? 'nothing' : JSON.stringify(digest)} as ${algorithm}, not ${String(length)} lower-case hex digits`,
    );
  }
  return digests;
}

const HEX = /^[0-9a-f]*$/u;
