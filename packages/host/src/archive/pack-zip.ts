import { Buffer } from 'node:buffer';
import { ZipFile } from 'yazl';

/** What every member's date says, so that the same members give the same bytes. ZIP dates are local time without a zone. */
const DATE = new Date(1980, 0, 1, 12);

/** Unix permissions that the ZIP states: a plain file that its owner may write. */
const MODE = 0o100644;

/** One member of a ZIP to be made. */
export interface ZipContent {
  /** '/'-joined. */
  readonly path: string;
  readonly bytes: Uint8Array;
}

/**
 * Makes a ZIP of members in the order given, each stored, dated 1980-01-01 and
 * without extra fields or data descriptors: the plainest there is, which any
 * device reads. The same members always give the same bytes.
 */
export async function packZip(members: readonly ZipContent[]): Promise<Buffer> {
  const zip = new ZipFile();
  for (const { path, bytes } of members) {
    const buffer = Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength);
    zip.addBuffer(buffer, path, {
      mtime: DATE,
      mode: MODE,
      compress: false,
      forceDosTimestamp: true,
    });
  }
  zip.end();
  const parts: Buffer[] = [];
  // The types say ReadableStream, which iterates as text or bytes; yazl gives bytes.
  for await (const part of zip.outputStream as AsyncIterable<Buffer>) parts.push(part);
  return Buffer.concat(parts);
}
