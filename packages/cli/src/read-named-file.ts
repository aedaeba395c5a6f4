import {
  closeSync,
  constants,
  createReadStream,
  fstatSync,
  lstatSync,
  openSync,
  readSync,
  statSync,
  type Stats,
} from 'node:fs';
import { resolve } from 'node:path';
import type { Context } from './context.js';

export interface NamedFile {
  /** Never more than one byte over the limit. */
  readonly bytes: Uint8Array;
  /** When it was last written, in ms since the Unix epoch; null for what comes through a pipe. */
  readonly written: number | null;
}

/** Why a file named on the command line is not read. */
export class UnreadableFile extends Error {
  /** What is wrong with it, to go after its name. */
  readonly reason: string;
  readonly remedy: string | null;

  constructor(reason: string, remedy: string | null, cause?: unknown) {
    super(reason, { cause });
    this.reason = reason;
    this.remedy = remedy;
  }
}

/**
 * Reads a file that was named on the command line, the pipe of a shell's
 * `<(command)`, or standard input (`-`), up to one byte over the limit. A
 * named FIFO, a socket or a device is refused: reading one may never end.
 * Throws UnreadableFile.
 */
export async function readNamedFile(
  path: string,
  maxBytes: number,
  context: Context,
): Promise<NamedFile> {
  try {
    if (path === '-') return { bytes: await readBounded(context.stdin, maxBytes), written: null };
    const file = resolve(context.cwd, path);
    if (isDescriptor(file) && !statSync(file).isFile()) {
      refuseFolder(statSync(file));
      return { bytes: await readStream(file, maxBytes), written: null };
    }
    // The link first: what it leads to is looked at before anything is opened.
    lstatSync(file);
    refuse(statSync(file));
    const { bytes, stats } = readAtOnce(file, maxBytes);
    return { bytes: bytes ?? (await readStream(file, maxBytes)), written: stats.mtimeMs };
  } catch (error) {
    if (error instanceof UnreadableFile) throw error;
    throw unreadable(error);
  }
}

/** What a shell gives for `<(command)`, and the standard streams: open already, and meant to be read. */
function isDescriptor(file: string): boolean {
  return /^\/(?:dev\/(?:fd\/[0-9]+|stdin)|proc\/(?:self|[0-9]+)\/fd\/[0-9]+)$/.test(file);
}

function refuseFolder(stats: Stats): void {
  if (stats.isDirectory()) {
    throw new UnreadableFile('this is a folder, not a file.', 'Name the file itself.');
  }
}

function refuse(stats: Stats): void {
  refuseFolder(stats);
  if (stats.isFile()) return;
  const kind = stats.isFIFO() ? 'a FIFO' : stats.isSocket() ? 'a socket' : 'a device';
  throw new UnreadableFile(
    `this is ${kind}, which is not opened: reading it may never end.`,
    'Pipe its content in, and give - in place of its name.',
  );
}

/**
 * A small file costs less this way than a stream does. No bytes when it holds
 * more than its size says, as in /proc.
 */
function readAtOnce(file: string, maxBytes: number): { bytes: Uint8Array | null; stats: Stats } {
  // Where a FIFO took the file's place meanwhile, opening it must not wait. Windows has no such flag.
  const flags = constants.O_RDONLY | ((constants.O_NONBLOCK as number | undefined) ?? 0);
  const fd = openSync(file, flags);
  try {
    const stats = fstatSync(fd);
    refuse(stats);
    const bytes = Buffer.alloc(Math.min(stats.size, maxBytes) + 1);
    let length = 0;
    while (length < bytes.length) {
      const count = readSync(fd, bytes, length, bytes.length - length, null);
      if (count === 0) return { bytes: bytes.subarray(0, length), stats };
      length += count;
    }
    return { bytes: length > maxBytes ? bytes : null, stats };
  } finally {
    closeSync(fd);
  }
}

/** Only as much as is looked at: the limit, and one byte to know that there is more. */
function readStream(file: string, maxBytes: number): Promise<Uint8Array> {
  return readBounded(createReadStream(file, { end: maxBytes }), maxBytes);
}

async function readBounded(
  stream: AsyncIterable<Uint8Array>,
  maxBytes: number,
): Promise<Uint8Array> {
  const chunks: Uint8Array[] = [];
  let length = 0;
  for await (const chunk of stream) {
    chunks.push(chunk);
    length += chunk.length;
    if (length > maxBytes) break;
  }
  return Buffer.concat(chunks).subarray(0, maxBytes + 1);
}

function unreadable(error: unknown): UnreadableFile {
  const code = (error as NodeJS.ErrnoException).code ?? '';
  if (code === 'ENOENT' || code === 'ENOTDIR') {
    return new UnreadableFile('there is no such file.', 'Check the path and its spelling.', error);
  }
  if (code === 'EACCES' || code === 'EPERM') {
    return new UnreadableFile('it may not be read.', 'Give yourself permission to read it.', error);
  }
  const message = error instanceof Error ? error.message : String(error);
  return new UnreadableFile(`it cannot be read (${message}).`, null, error);
}
