import { readFileSync } from 'node:fs';
import { Script } from 'node:vm';
import type { main } from '../main.js';
import { CodeCache } from './code-cache.js';

/** File name of the bundled main.ts, with a hash of its content; put in by the build. */
declare const MAIN_FILE: string;

type Module = { exports: { main?: typeof main } };
/** What the file is: one function, called as Node calls a CommonJS module. */
type Wrapper = (
  exports: Module['exports'],
  require: NodeJS.Require,
  module: Module,
  filename: string,
  dirname: string,
) => void;

export interface LoadedMain {
  readonly main: typeof main;
  /** Keeps what has been compiled by now for the next run of the same command. */
  keepCode(): void;
}

/**
 * Loads main.ts's bundle as `require` would, but with what an earlier run
 * compiled, which takes some 40 % off a short run (measured). Node's own
 * `module.enableCompileCache` came with 22.1 only, and by default puts the
 * code where other users may write.
 */
export function loadMain(argv: readonly string[], env: NodeJS.ProcessEnv): LoadedMain {
  const filename = `${__dirname}/${MAIN_FILE}`;
  // The build writes ASCII only; as Latin-1 it need not be decoded.
  const source = readFileSync(filename, 'latin1');
  const cache = new CodeCache(cacheName(argv), env);
  const cachedData = cache.read();
  const script = new Script(source, {
    filename,
    ...(cachedData === undefined ? {} : { cachedData }),
  });
  const loaded: Module = { exports: {} };
  (script.runInThisContext() as Wrapper)(loaded.exports, require, loaded, filename, __dirname);
  const { main } = loaded.exports;
  if (main === undefined) throw new Error(`${MAIN_FILE} exports no main`);
  return {
    main,
    keepCode: () => {
      // V8 takes back only what the same build of it made, with the same flags.
      if (cachedData === undefined || script.cachedDataRejected === true) {
        cache.write(script.createCachedData());
      }
    },
  };
}

/** Each command has code of its own; loading that of all of them would take longer. */
function cacheName(argv: readonly string[]): string {
  const command = argv.find((word) => /^[a-z]{1,16}$/.test(word)) ?? 'none';
  return `${MAIN_FILE}-${process.version}-${process.arch}-${command}`;
}
