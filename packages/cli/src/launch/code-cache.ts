/**
 * Compiled code kept between runs, so that a start need not compile it again.
 * Losing it costs time only: whatever goes wrong here, the code is compiled.
 */
import {
  closeSync,
  constants,
  fstatSync,
  mkdirSync,
  openSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { crc32 } from 'node:zlib';

/** Bytes of the CRC-32 that ends a file: V8 trusts what it is given, and dies of a damaged one. */
const CHECKSUM = 4;

/** Days after which a file of another version of Node or of this program is taken for left behind. */
const MAX_AGE = 30;

/** Absent on Windows. */
const SAFE_OPEN =
  constants.O_RDONLY |
  ((constants.O_NOFOLLOW as number | undefined) ?? 0) |
  ((constants.O_NONBLOCK as number | undefined) ?? 0);

type Environment = Readonly<Record<string, string | undefined>>;

/**
 * The user's folder for caches (XDG Base Directory Specification, and what
 * macOS and Windows have in its place); null when there is none, or when
 * NODE_DISABLE_COMPILE_CACHE, Node's own variable for this, is set.
 */
function userCaches(env: Environment): string | null {
  if (env['NODE_DISABLE_COMPILE_CACHE'] !== undefined) return null;
  const { XDG_CACHE_HOME: xdg, HOME: home, LOCALAPPDATA: local } = env;
  if (process.platform === 'win32') return local === undefined ? null : local;
  if (xdg?.startsWith('/') === true) return xdg;
  if (home?.startsWith('/') !== true) return null;
  return process.platform === 'darwin' ? `${home}/Library/Caches` : `${home}/.cache`;
}

/** One file of the cache. */
export class CodeCache {
  readonly #folder: string | null;
  readonly #name: string;

  /** @param name of exactly this code: V8 compares no more of it than the length */
  constructor(name: string, env: Environment) {
    const caches = userCaches(env);
    this.#folder = caches === null ? null : `${caches}/firmtally`;
    this.#name = `${name}.v8`;
  }

  read(): Buffer | undefined {
    if (this.#folder === null) return undefined;
    let fd: number | null = null;
    try {
      fd = openSync(`${this.#folder}/${this.#name}`, SAFE_OPEN);
      const stats = fstatSync(fd);
      // Code from anybody else would run with this user's rights.
      if (!stats.isFile() || !isOurs(stats)) return undefined;
      const bytes = readFileSync(fd);
      const end = bytes.length - CHECKSUM;
      const code = bytes.subarray(0, Math.max(0, end));
      return end > 0 && crc32(code) === bytes.readUInt32LE(end) ? code : undefined;
    } catch {
      return undefined; // most often: not there yet
    } finally {
      if (fd !== null) closeSync(fd);
    }
  }

  write(code: Buffer): void {
    if (this.#folder === null) return;
    const path = `${this.#folder}/${this.#name}`;
    // Under a name of its own first, so that nobody reads half a file.
    const temporary = `${path}.${process.pid}`;
    try {
      mkdirSync(this.#folder, { recursive: true, mode: 0o700 });
      // With `sudo` the folder may be somebody else's: leave nothing there that they cannot remove.
      if (!isOurs(statSync(this.#folder))) return;
      const checksum = Buffer.alloc(CHECKSUM);
      checksum.writeUInt32LE(crc32(code));
      try {
        writeFileSync(temporary, Buffer.concat([code, checksum]), { mode: 0o600, flag: 'wx' });
        renameSync(temporary, path);
      } finally {
        rmSync(temporary, { force: true });
      }
      removeOld(this.#folder);
    } catch {
      // A full disk, a read-only home: the next run compiles again.
    }
  }
}

function isOurs({ uid, mode }: { readonly uid: number; readonly mode: number }): boolean {
  // Windows keeps %LOCALAPPDATA% to its user by itself.
  if (process.geteuid === undefined) return true;
  return uid === process.geteuid() && (mode & 0o022) === 0;
}

function removeOld(folder: string): void {
  const oldest = Date.now() - MAX_AGE * 86_400_000;
  for (const name of readdirSync(folder)) {
    const path = `${folder}/${name}`;
    if (/\.v8(?:\.\d+)?$/.test(name) && statSync(path).mtimeMs < oldest) rmSync(path);
  }
}
