import { digestBytes, digestStream, type DigestBytes, type DigestStream } from '@firmtally/core';
import { nativeEngine } from '../digest/native-engine.js';

export const hashStream: DigestStream = (stream, algorithms) =>
  digestStream(stream, algorithms, nativeEngine);

export const hashBytes: DigestBytes = (bytes, algorithms) =>
  digestBytes(bytes, algorithms, nativeEngine);
