/** Whether a path may be used at all. */
export function isSafePath(path: string): boolean {
  return pathFault(path, 'file') === null;
}

/** Why a path may not be used, in one sentence; null when it may. */
export function pathFault(path: string, kind: 'file' | 'folder' | 'member'): string | null {
  if (path === '') {
    return kind === 'folder'
      ? 'The folder is empty text; "." means the root.'
      : 'The path is empty text.';
  }
  // A file system takes less (Linux: PATH_MAX, 4096 bytes).
  if (path.length > MAX_PATH)
    return `A path has at most ${MAX_PATH} characters; this has ${path.length}.`;
  if (path.includes('\0')) return 'A path cannot hold the character NUL.';
  if (/\p{Surrogate}/u.test(path)) return 'Half of a surrogate pair in a path is not a character.';
  if (/^[A-Za-z]:/.test(path)) {
    return 'A path cannot start with a drive letter; it is relative to the root.';
  }
  if (path.includes('\\')) return 'Names in a path are separated by /, not by a backslash.';
  if (path.startsWith('/')) return 'A path cannot start with /; it is relative to the root.';
  const names = path.split('/');
  if (names.includes('..')) return 'A path cannot go up with "..".';
  if (names.includes('.')) return 'A path cannot hold the name ".".';
  if (path.endsWith('/')) return 'A path cannot end with /.';
  return names.includes('') ? 'A path cannot hold two / in a row.' : null;
}

const MAX_PATH = 4096;

/** What was most likely meant; null when that is not clear. */
export function cleanedPath(path: string): string | null {
  if (path.length > MAX_PATH || /\p{Cc}/u.test(path)) return null;
  const candidate = path
    .replace(/^[A-Za-z]:/, '')
    .split(/[/\\]/)
    .filter((name) => name !== '' && name !== '.')
    .join('/');
  return candidate !== path && isSafePath(candidate) ? candidate : null;
}
