/**
 * Every command on the demo. Runs under Linux' Node and under the Windows
 * build by run-commands.ts; compare.ts tells the outcomes apart.
 */
import { mkdirSync, readFileSync, rmSync, statSync, utimesSync, writeFileSync } from 'node:fs';

export interface Outcome {
  /** What ran, as one would type it. */
  readonly line: string;
  readonly code: number | null;
  readonly signal: string | null;
  /** Bytes, one a character. */
  readonly stdout: string;
  readonly stderr: string;
}

export interface Outcomes {
  /** The folder it ran in, as its system writes it. */
  readonly here: string;
  readonly node: string;
  readonly outcomes: readonly Outcome[];
  /** SHA-256 of every file there is at the end, by path with '/' separators. */
  readonly files: Readonly<Record<string, string>>;
}

interface Surroundings {
  readonly input?: string | Buffer;
  /** Relative to the folder all run in. */
  readonly cwd?: string;
  readonly columns?: number;
}

export type Run = (words: string, surroundings?: Surroundings) => Outcome;

const M = '-m examples/demo/manifest.yaml';
const COMMANDS = ['audit', 'validate', 'digest', 'identify', 'place', 'draft', 'schema'];

/** By name; each has a folder of its own, so that groups can run at the same time. */
export const GROUPS: Readonly<Record<string, (run: Run) => void>> = { asking, files, placing };

function asking(run: Run): void {
  for (const words of ['', '--version', '--help', 'nosuch', 'audit', 'audit .demo/card --nosuch'])
    run(words);
  for (const command of [...COMMANDS, 'completion']) run(`${command} --help`);
  for (const words of ['', 'bash', 'zsh']) run(`completion ${words}`);
  run('--complete bash firmtally au');
  run('--complete zsh firmtally audit --fo');
  const documents = ['manifest', 'report', 'plan', 'validation', 'identification', 'digest'];
  for (const document of [...documents, 'nosuch', '']) run(`schema ${document}`);

  run('validate examples/demo/manifest.yaml');
  for (const format of ['text', 'json', 'sarif'])
    run(`validate examples/demo/mistakes.yaml --format ${format}`);
  run('validate examples/demo/mistakes.yaml --ascii', { columns: 40 });
  run('validate nowhere.yaml');

  for (const format of ['table', 'json', 'markdown', 'csv', 'tap', 'html'])
    run(`audit .demo/card ${M} --loadout trip --format ${format}`);
  run(`audit .demo/card ${M} --loadout pocket`);
  run(`audit .demo/card ${M}`, { columns: 40 });
  run(`audit .demo/card ${M} --brief`);
  run(`audit .demo/card ${M} --system osprey --strict --color`);
  run(`audit .demo/card ${M} --wide --strays --detail --ascii --jobs 2`);
  run(`audit .demo/card ${M} --quiet --no-color`);
  run(`audit .demo/desk-card ${M} --loadout desk`);
  run('audit .demo/card -m -', { input: readFileSync('examples/demo/manifest.yaml') });
  run('audit ../.demo/card', { cwd: 'examples' });
  run(`audit .demo/nowhere ${M}`);
  run(`audit examples/demo/manifest.yaml ${M}`);
  run('audit .demo/card -m nowhere.yaml');
}

function files(run: Run): void {
  run(`identify .demo/pile ${M}`);
  run(`identify .demo/pile ${M} --all`);
  for (const format of ['text', 'json']) run(`identify .demo/pile ${M} --all --format ${format}`);
  run(`identify .demo/pile/nuthatch.bin .demo/card ${M}`);
  run(`identify .demo/pile/*.bin ${M}`);

  for (const format of ['text', 'json', 'sums'])
    run(`digest .demo/card .demo/pile --format ${format}`);
  run('digest .demo/card --format sums --algorithm md5');
  run('digest .demo/pile/*.bin');
  run('digest .demo/nowhere');
  run('digest -', { input: 'hello' });
  run('digest --check SHA256SUMS', { cwd: '.demo/release' });
  run('digest --check .demo/release/SHA256SUMS --format json');

  run('draft .demo/card');
  run('draft .demo/card/system/firmware');
  for (const format of ['yaml', 'json']) run(`draft .demo/card/system/extra --format ${format}`);
  const sums = run('digest .demo/card/system --format sums --algorithm sha1').stdout;
  writeFileSync('posted.txt', `Tern files, INVENTED\r\n${sums.replaceAll('\n', '\r\n')}`);
  run('draft posted.txt --list --folder system/firmware --system tern');
  writeFileSync('mine.yaml', readFileSync('examples/demo/manifest.yaml'));
  run('draft posted.txt --list --into mine.yaml --output mine.yaml');
  run('draft .demo/pile --whole --output drafted.yaml');

  run(`audit .demo/card ${M} --format json --output may.json`);
  run(`audit .demo/card ${M} --since may.json`);
  const changed = '.demo/card/system/firmware/osprey_boot.bin';
  changeSilently(changed);
  run(`audit .demo/card ${M} --since may.json`);
}

function placing(run: Run): void {
  const trip = `place .demo/pile --onto .demo/card ${M} --loadout trip --repair --cluster 16K`;
  run(trip);
  run(`${trip} --format json`);
  run(`place .demo/pile --onto .demo/card ${M} --system osprey --format text`, { columns: 40 });
  run(`place .demo/pile --onto .demo/card ${M} --apply`);
  // A folder lies where a file goes; --apply will not touch it.
  run(`${trip} --apply`);
  rmSync('.demo/card/system/firmware/whimbrel_bios.bin', { recursive: true, force: true });
  run(`${trip} --apply`);
  run(`${trip} --apply`);
  run(`audit .demo/card ${M} --loadout trip`);
  run(`place .demo/pile --onto .demo/card/system ${M} --apply --anyway`);
  run(`place .demo/pile --onto .demo/desk-card ${M} --loadout desk --repair --apply --format json`);
  mkdirSync('.demo/new');
  run(`place .demo/pile --onto .demo/new ${M} --repair --apply`);
  run(`place .demo/pile --onto .demo/nowhere ${M} --repair --apply`);
  run('digest .demo/new .demo/card .demo/desk-card --format sums');
}

/** One bit of it, as a failing card does: size and time stay. */
function changeSilently(path: string): void {
  const { atime, mtime } = statSync(path);
  const bytes = readFileSync(path);
  bytes[bytes.length >> 1] = (bytes[bytes.length >> 1] ?? 0) ^ 1;
  writeFileSync(path, bytes);
  utimesSync(path, atime, mtime);
}
