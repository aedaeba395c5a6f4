import { orAborted } from '../bytes/abort.js';
import { ReadError } from '../bytes/source.js';
import { FirmtallyError } from '../errors.js';
import { escapeText } from '../text/escape.js';
import {
  DIGEST_LENGTH,
  type Algorithm,
  type DigestOptions,
  type DigestStream,
  type FileDigester,
  type StreamDigests,
} from './engine.js';

/**
 * A caller's own digester, checked where its digests come in: one in capitals
 * would match nothing, and be a wrong verdict far from here. An error of it
 * names the path. `signal` ends every call, whether or not the digester heeds it.
 */
export function checkedDigester(digester: FileDigester, signal?: AbortSignal): FileDigester {
  return {
    digestFile: async (path, algorithms, options = {}) => {
      const { thrown, guarded } = guard(options);
      const own = signal === undefined ? guarded : { ...guarded, signal };
      try {
        const digesting = digester.digestFile(path, algorithms, own);
        return checked(await orAborted(digesting, own.signal), algorithms);
      } catch (error) {
        if (thrown.includes(error) || own.signal?.aborted === true) throw error;
        throw digesterError(path, error);
      }
    },
  };
}

/** The same of digests of a stream, which has no path. */
export function checkedDigestStream(digestStream: DigestStream): DigestStream {
  return async (stream, algorithms) => {
    const found = await digestStream(stream, algorithms);
    try {
      return checked(found, algorithms);
    } catch (error) {
      throw digesterError(null, error);
    }
  };
}

/** Tells what a callback threw from what the digester did. */
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

function checked(found: StreamDigests, algorithms: readonly Algorithm[]): StreamDigests {
  if (!Number.isSafeInteger(found.size) || found.size < 0) {
    throw new TypeError(`it gives ${String(found.size)} as size, which is no count of bytes`);
  }
  for (const algorithm of algorithms) {
    const digest: unknown = found.digests[algorithm];
    const length = DIGEST_LENGTH[algorithm];
    if (typeof digest === 'string' && digest.length === length && HEX.test(digest)) continue;
    throw new TypeError(
      `it gives ${digest === undefined ? 'nothing' : JSON.stringify(digest)} as ${algorithm}, not ${String(length)} lower-case hex digits`,
    );
  }
  return found;
}

const HEX = /^[0-9a-f]*$/u;

function digesterError(path: string | null, error: unknown): unknown {
  if (error instanceof ReadError || error instanceof FirmtallyError) return error;
  const message = error instanceof Error ? error.message : String(error);
  return new FirmtallyError(
    'engine-invalid',
    `${path === null ? '' : `${escapeText(path)}: `}the digest engine failed: ${escapeText(message)}`,
    'An engine gives each digest asked for as lower-case hex, and throws a ReadError for a file that cannot be read.',
    { cause: error },
  );
}
