import { digestBytes, digestStream, type DigestBytes, type DigestStream } from '@firmtally/core';
import { nativeEngine } from './native-engine.js';

/** Digests a stream with {@link nativeEngine}. Throws what the stream throws. */
export const nativeDigestStream: DigestStream = (stream, algorithms) =>
  digestStream(stream, algorithms, nativeEngine);

/** Digests bytes in memory with {@link nativeEngine}. */
export const nativeDigestBytes: DigestBytes = (bytes, algorithms) =>
  digestBytes(bytes, algorithms, nativeEngine);
