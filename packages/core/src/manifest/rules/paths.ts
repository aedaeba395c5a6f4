import { checkFatPath } from '../../text/fat.js';
import { foldCase } from '../../text/fold.js';
import { withoutQuotes } from '../shape/meant.js';
import { cleanedPath, isSafePath, pathFault } from '../safe-path.js';
import type { CheckedRule } from './rule.js';
import { writtenPaths } from './shared/paths.js';

/** Paths stay inside the root and read the same on every platform. */
export const unsafePath: CheckedRule = {
  id: 'unsafe-path',
  severity: 'error',
  description: 'A path is relative, stays inside the root and separates names with /.',
  check({ files, problems }) {
    for (const { text, kind } of files.flatMap(writtenPaths)) {
      if (kind === 'folder' && text.value === '.') continue;
      const message = pathFault(text.value, kind);
      if (message === null) continue;
      problems.add(unsafePath, text.spot, { message, suggestion: cleanedPath(text.value) });
    }
  },
};

/** Cards are FAT and mostly prepared on Windows. */
export const unportablePath: CheckedRule = {
  id: 'unportable-path',
  severity: 'warning',
  description: 'A path can be stored on a FAT card and handled by Windows.',
  check({ files, problems }) {
    for (const { text, kind } of files.flatMap(writtenPaths)) {
      // Names inside a ZIP never reach the card; unsafe ones have their own rule.
      if (kind === 'member' || !isSafePath(text.value)) continue;
      if (problems.isFull('warning')) return;
      // A path of many names may break one rule many times.
      const first = new Map(
        checkFatPath(text.value)
          .reverse()
          .map(({ code, text: message }) => [code, message]),
      );
      for (const message of first.values()) problems.add(unportablePath, text.spot, { message });
    }
  },
};

export const doubledFolder: CheckedRule = {
  id: 'doubled-folder',
  severity: 'warning',
  description: 'A path does not start with the folder it is in anyway.',
  check({ files, problems }) {
    for (const { path, folder, file } of files.flatMap(({ firmware }) => firmware)) {
      const inside = (folder ?? file.folder)?.value ?? '.';
      if (path === null || inside === '.') continue;
      // Most cards do not tell letter case apart.
      if (!foldCase(path.value).startsWith(`${foldCase(inside)}/`)) continue;
      problems.add(doubledFolder, path.spot, {
        message: `The path starts with its folder, so the file is expected in "${inside}/${path.value.slice(0, inside.length)}".`,
        suggestion: path.value.slice(inside.length + 1),
      });
    }
  },
};

export const typographicQuotes: CheckedRule = {
  id: 'typographic-quotes',
  severity: 'warning',
  description: 'A path is not in typographic quotes.',
  check({ files, problems }) {
    for (const { text } of files.flatMap(writtenPaths)) {
      const bare = withoutQuotes(text.value);
      if (bare === null) continue;
      problems.add(typographicQuotes, text.spot, {
        message: 'These quotes are no quotes to YAML, but a part of the name.',
        suggestion: bare,
      });
    }
  },
};
