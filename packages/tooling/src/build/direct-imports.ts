import { readFileSync } from 'node:fs';
import { dirname, resolve } from 'node:path';
import type { Plugin } from 'esbuild';
import { inWorkspace } from '../paths.js';

const PACKAGES = ['core', 'host'];

/** `import { a, type B } from '@firmtally/core';` */
const IMPORT = /import (?!type )\{([^}]*)\} from '@firmtally\/(core|host)(?:\/internal)?';/g;

/** `export { a, b as c, type D } from './e.js';` */
const EXPORT = /export (?!type )\{([^}]*)\} from '([^']+)';/g;

/**
 * Has our own files import each thing from the module that makes it. Through a
 * package's index, a command that is loaded when it is wanted would set up
 * every module that any command uses.
 */
export const directImports: Plugin = {
  name: 'direct-imports',
  setup(build) {
    const modules = new Map(PACKAGES.map((name) => [name, modulesOf(name)]));
    build.onLoad({ filter: /packages[\\/](?:cli|host)[\\/]src[\\/].*\.ts$/ }, ({ path }) => ({
      contents: readFileSync(path, 'utf8').replaceAll(IMPORT, (_, names: string, from: string) =>
        direct(names, modules.get(from) ?? new Map()),
      ),
      loader: 'ts',
    }));
  },
};

function direct(names: string, modules: ReadonlyMap<string, string>): string {
  // On one line, so that line numbers stay.
  return valuesIn(names)
    .map((name) => {
      const path = modules.get(name);
      if (path === undefined) throw new Error(`${name} is not in the index it is imported from`);
      return `import { ${name} } from ${JSON.stringify(path)};`;
    })
    .join(' ');
}

/** Where each value that the package exports, publicly or not, is made. */
function modulesOf(name: string): Map<string, string> {
  const found = new Map<string, string>();
  for (const entry of ['index', 'internal']) {
    const index = inWorkspace(`packages/${name}/src/${entry}.ts`);
    for (const [, names = '', from = ''] of readFileSync(index, 'utf8').matchAll(EXPORT)) {
      const path = resolve(dirname(index), from.replace(/\.js$/, '.ts'));
      for (const value of valuesIn(names)) {
        if (/ as /.test(value))
          throw new Error(`${index}: "${value}" is exported under another name`);
        found.set(value, path);
      }
    }
  }
  return found;
}

function valuesIn(names: string): string[] {
  return names
    .split(',')
    .map((name) => name.trim())
    .filter((name) => name !== '' && !name.startsWith('type '));
}
