import { closeSync, fsyncSync, openSync, realpathSync, rmSync, statSync, writeSync } from 'node:fs';
import { randomBytes } from 'node:crypto';
import { rename } from 'node:fs/promises';
import { basename, dirname, join, resolve } from 'node:path';
import { FirmtallyError } from '@firmtally/core';
import type { ResultOutput } from './output.js';

/**
 * A file as UTF-8, which comes into being, or takes the place of an earlier
 * one, whole and at the end: a run that fails leaves what was there. Throws
 * FirmtallyError, before anything is done, for a path that can be no file.
 *
 * @param move what gives the new file its name, as `fs.promises.rename` does
 */
export function fileOutput(path: string, move: Move = rename): ResultOutput {
  const target = targetOf(path);
  const texts: string[] = [];
  let discarded = false;
  return {
    begun: false,
    write: (text) => {
      texts.push(text);
      return Promise.resolve();
    },
    finish: async () => {
      if (!discarded) await replace(target, texts, path, move);
    },
    discard: () => {
      discarded = true;
    },
  };
}

type Move = (from: string, to: string) => Promise<void>;

/** What is replaced: where a link leads, never the link. */
function targetOf(path: string): string {
  const absolute = resolve(path);
  try {
    const stats = statSync(absolute, { throwIfNoEntry: false });
    if (stats === undefined) {
      if (!statSync(dirname(absolute)).isDirectory())
        throw notWritten(path, 'its folder is a file');
      const refused = process.platform === 'win32' ? refusedByWindows(basename(absolute)) : null;
      if (refused !== null) throw notWritten(path, refused);
      return absolute;
    }
    if (stats.isDirectory()) throw notWritten(path, 'this is a folder');
    if (!stats.isFile()) {
      throw notWritten(
        path,
        'this is a device or a pipe',
        'Leave --output away, and redirect with >.',
      );
    }
    return realpathSync(absolute);
  } catch (error) {
    throw error instanceof FirmtallyError ? error : notWritten(path, reason(error), null, error);
  }
}

/**
 * Windows says of a name that can be none that there is no such file, and would say so again at the end.
 * Limits: Microsoft's "Naming Files, Paths, and Namespaces" and "Maximum Path Length Limitation".
 */
function refusedByWindows(name: string): string | null {
  if (name.length > 255) return 'its name is too long';
  return /[<>:"|?*]/.test(name) ? 'Windows allows none of <>:"|?* in a name' : null;
}

async function replace(
  target: string,
  texts: readonly string[],
  path: string,
  move: Move,
): Promise<void> {
  const temporary = join(dirname(target), `.firmtally-${randomBytes(6).toString('hex')}.tmp`);
  try {
    const mode = statSync(target, { throwIfNoEntry: false })?.mode ?? 0o666;
    const fd = openSync(temporary, 'wx', mode & 0o777);
    try {
      for (const text of texts) writeWhole(fd, Buffer.from(text));
      fsyncSync(fd);
    } finally {
      closeSync(fd);
    }
    // Only here: most runs write no file, and start the sooner.
    const { patientRename } = await import('@firmtally/host/internal');
    await patientRename(() => move(temporary, target));
  } catch (error) {
    rmSync(temporary, { force: true });
    throw notWritten(path, reason(error), 'What was there before is as it was.', error);
  }
}

function writeWhole(fd: number, bytes: Uint8Array): void {
  for (let done = 0; done < bytes.length;) done += writeSync(fd, bytes, done);
}

function reason(error: unknown): string {
  const code = (error as NodeJS.ErrnoException).code ?? '';
  return REASONS[code] ?? (error instanceof Error ? error.message : String(error));
}

const REASONS: Readonly<Record<string, string>> = {
  ENOENT: 'its folder does not exist',
  ENOTDIR: 'its folder is a file',
  EACCES: 'it may not be written',
  EPERM: 'it may not be written',
  EROFS: 'its file system is read-only',
  EBUSY: 'another program has it open',
  ENOSPC: 'its file system is full',
  ENAMETOOLONG: 'its name is too long',
};

function notWritten(
  path: string,
  why: string,
  remedy: string | null = null,
  cause?: unknown,
): FirmtallyError {
  return new FirmtallyError('io-error', `--output ${path}: ${why}`, remedy, { cause });
}
