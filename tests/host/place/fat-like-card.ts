import type { CardFs } from '@firmtally/host';

/**
 * A card that behaves as FAT does under Linux: a name is found whatever its
 * letter case, renaming to another case alone does nothing, and there are no
 * hard links. (From fs/fat/namei_vfat.c and rename(2): source and target that
 * are the same file are left alone.)
 */
export function fatLikeCard(real: CardFs): CardFs {
  const found = async (path: string): Promise<string> => {
    let actual = '';
    for (const name of path === '' ? [] : path.split('/')) {
      const names = await real.list(actual).catch((): string[] => []);
      const same = names.find((each) => each.toLowerCase() === name.toLowerCase());
      actual = actual === '' ? (same ?? name) : `${actual}/${same ?? name}`;
    }
    return actual;
  };
  /** The folder as it is spelled, the last name as given. */
  const fresh = async (path: string): Promise<string> => {
    const slash = path.lastIndexOf('/');
    const folder = slash < 0 ? '' : await found(path.slice(0, slash));
    const name = path.slice(slash + 1);
    return folder === '' ? name : `${folder}/${name}`;
  };
  return {
    stat: async (path) => real.stat(await found(path)),
    list: async (path) => real.list(await found(path)),
    resolve: async (path) => real.resolve(await found(path)),
    makeFolder: async (path) => real.makeFolder(await found(path)),
    create: async (path) => real.create(await found(path)),
    async *read(path) {
      yield* real.read(await found(path));
    },
    link: () => Promise.reject(Object.assign(new Error('no hard links'), { code: 'EPERM' })),
    rename: async (path, to) => {
      const [from, there] = [await found(path), await found(to)];
      if (from !== there) await real.rename(from, await fresh(to));
    },
    remove: async (path) => real.remove(await found(path)),
    syncFolder: async (path) => real.syncFolder(await found(path)),
    space: () => real.space(),
    isThere: () => real.isThere(),
  };
}
