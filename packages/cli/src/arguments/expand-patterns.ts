import { lstatSync } from 'node:fs';
import { isAbsolute } from 'node:path';
import { compareUtf8 } from '@firmtally/core';
import { withSlashes } from '@firmtally/host/internal';
import { escapePath, glob } from 'tinyglobby';
import { usage } from './arguments.js';

/**
 * Replaces operands with `*` or `?` that name no file by the files and folders
 * they stand for, in order of their names: shells of Windows leave that to the
 * program. As in a shell, nothing else is special, and a name that begins with
 * a dot is not meant by `*`. Throws FirmtallyError('usage') for one that stands
 * for nothing.
 */
export async function expandPatterns(operands: readonly string[]): Promise<string[]> {
  const expanded: string[] = [];
  for (const operand of operands) {
    if (!/[*?]/.test(operand) || exists(operand)) {
      expanded.push(operand);
      continue;
    }
    const found = await matches(operand);
    if (found.length === 0) {
      throw usage(
        `${operand}: there is no file of such a name`,
        'Check the folder and the pattern: * stands for any text, ? for one character.',
      );
    }
    for (const path of found) expanded.push(path);
  }
  return expanded;
}

async function matches(operand: string): Promise<string[]> {
  const pattern = escapePath(withSlashes(operand)).replaceAll(/\\([*?])/g, '$1');
  const found = await glob(pattern, {
    onlyFiles: false,
    expandDirectories: false,
    followSymbolicLinks: false,
    absolute: isAbsolute(operand),
    caseSensitiveMatch: process.platform !== 'win32',
  });
  return found.map((path) => path.replace(/\/$/, '')).sort(compareUtf8);
}

function exists(path: string): boolean {
  try {
    return lstatSync(path, { throwIfNoEntry: false }) !== undefined;
  } catch {
    // Windows has no such names at all.
    return false;
  }
}
