/** A Windows of our own, by Wine, and programs run in it. */
import { spawn, spawnSync } from 'node:child_process';
import {
  closeSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  openSync,
  readFileSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { dirname, join } from 'node:path';
import { forwardingDll } from './forward-dll.js';

export interface Result {
  /** Null when it was ended for taking too long. */
  readonly code: number | null;
  readonly stdout: string;
  readonly stderr: string;
}

export interface RunOptions {
  /** Folder of Linux to start in. */
  readonly cwd: string;
  /** Seconds until it is ended. */
  readonly limit: number;
  readonly env?: Readonly<Record<string, string>>;
}

/** Wine's loader for 64-bit programs; null when this machine has none. Debian's `wine64` brings it without a name on PATH. */
export function findWine(): string | null {
  const works = (command: string): boolean =>
    spawnSync(command, ['--version'], { stdio: 'ignore' }).status === 0;
  return ['/usr/lib/wine/wine64', 'wine64', 'wine'].find(works) ?? null;
}

export class Wine {
  readonly #loader: string;
  readonly #folder: string;
  readonly #env: NodeJS.ProcessEnv;
  #runs = 0;
  #memory: string | null = null;

  /** @param folder empty; everything of this Windows goes below it */
  constructor(loader: string, folder: string) {
    this.#loader = loader;
    this.#folder = folder;
    const home = join(folder, 'home');
    mkdirSync(home);
    this.#env = {
      PATH: process.env['PATH'],
      LANG: 'C.UTF-8',
      HOME: home,
      WINEPREFIX: join(folder, 'prefix'),
      WINEDEBUG: '-all',
      // Neither .NET nor a browser engine is wanted, and Wine would offer to fetch them.
      WINEDLLOVERRIDES: 'mscoree=;mshtml=',
    };
  }

  /** What programs see as `C:\`, as a folder of Linux. */
  get drive(): string {
    return join(this.#folder, 'prefix', 'drive_c');
  }

  /** Makes the drive, and lets it say that it is Windows 10, the least that Node takes. */
  async setUp(): Promise<void> {
    for (const args of [
      ['wineboot', '-i'],
      ['winecfg', '-v', 'win10'],
    ]) {
      const { code, stderr } = await this.run(args, { cwd: this.#folder, limit: 120 });
      if (code !== 0) throw new Error(`wine ${args.join(' ')}: exit code ${code}\n${stderr}`);
    }
    await this.#keepTempInMemory();
    const dll = join(this.drive, 'windows', 'system32', 'bcryptprimitives.dll');
    if (existsSync(dll)) return;
    writeFileSync(
      dll,
      forwardingDll('bcryptprimitives.dll', 'ProcessPrng', 'advapi32.SystemFunction036'),
    );
  }

  /** The tests sync thousands of times, which costs nothing where Linux keeps files in memory. */
  async #keepTempInMemory(): Promise<void> {
    if (!existsSync('/dev/shm')) return;
    const { stdout } = await this.run(['cmd', '/c', 'echo %TEMP%'], {
      cwd: this.#folder,
      limit: 120,
    });
    const parts = stdout.trim().split('\\');
    if (parts.shift() !== 'C:') throw new Error(`Windows keeps temporary files in "${stdout}"`);
    const temp = join(this.drive, ...parts);
    this.#memory = mkdtempSync('/dev/shm/firmtally-windows-');
    rmSync(temp, { recursive: true, force: true });
    symlinkSync(this.#memory, temp);
  }

  /** Runs one program of Windows to its end. Its streams are files: Node for Windows cannot open a pipe of Linux. */
  async run(words: readonly string[], options: RunOptions): Promise<Result> {
    const id = this.#runs++;
    const paths = ['out', 'err'].map((name) => join(this.#folder, `${name}${id}.txt`));
    const files = paths.map((path) => openSync(path, 'w'));
    const child = spawn(this.#loader, words, {
      cwd: options.cwd,
      env: { ...this.#env, ...options.env },
      stdio: ['ignore', ...files],
      timeout: options.limit * 1000,
      killSignal: 'SIGKILL',
    });
    try {
      const code = await new Promise<number | null>((resolve, reject) => {
        child.on('error', reject).on('exit', resolve);
      });
      const [stdout = '', stderr = ''] = paths.map((path) => readFileSync(path, 'utf8'));
      return { code, stdout, stderr };
    } finally {
      files.forEach(closeSync);
    }
  }

  /** Ends every program of this Windows, and it. */
  shutDown(): void {
    const beside = ['wineserver', 'wineserver64'].map((name) => join(dirname(this.#loader), name));
    const server = beside.find((path) => existsSync(path)) ?? 'wineserver';
    for (const how of ['-k', '-w']) {
      spawnSync(server, [how], { env: this.#env, stdio: 'ignore', timeout: 20_000 });
    }
    if (this.#memory !== null) rmSync(this.#memory, { recursive: true, force: true });
  }
}
