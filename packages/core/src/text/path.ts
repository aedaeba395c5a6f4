/** The last part of a '/'-joined path. */
export function baseName(path: string): string {
  return path.slice(path.lastIndexOf('/') + 1);
}

/** All but the last part of a '/'-joined path; '' for a name in the root. */
export function folderOf(path: string): string {
  const slash = path.lastIndexOf('/');
  return slash < 0 ? '' : path.slice(0, slash);
}

/** A name in a folder, '/'-joined; '' is the root. */
export function joinPath(folder: string, name: string): string {
  return folder === '' ? name : `${folder}/${name}`;
}

/** The folders a path lies in, the outermost first: `a` and `a/b` for `a/b/c`. */
export function foldersAbove(path: string): string[] {
  const names = path.split('/').slice(0, -1);
  return names.map((_, index) => names.slice(0, index + 1).join('/'));
}
