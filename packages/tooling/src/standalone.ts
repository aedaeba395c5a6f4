/**
 * Makes executables of the command, for people without Node: Node's own
 * feature "single executable applications", on builds of Node from npm.
 *
 *   pnpm run standalone [--only linux-x64|win-x64]
 *
 * They go to dist/standalone, with the licences and a list of checksums. Ends
 * with 0 also when npm's registry cannot be reached, which it then says.
 */
import { execFile } from 'node:child_process';
import { chmod, copyFile, mkdir, mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { parseArgs, promisify } from 'node:util';
import { inject } from 'postject';
import { bundleWhole } from './build/bundle-cli.js';
import { workerSource } from './build/worker-source.js';
import { packagesInBundle, packagesInGenerated } from './licences/bundled-packages.js';
import { noticesText } from './licences/notices.js';
import { NODE, nodeBuild, type NodePlatform } from './node-build.js';
import { inWorkspace } from './paths.js';
import { RegistryUnreachable } from './registry.js';
import { withoutSignature } from './standalone/unsigned.js';

const run = promisify(execFile);

/** Node's documentation, "Single executable applications". */
const RESOURCE = 'NODE_SEA_BLOB';
const FUSE = 'NODE_SEA_FUSE_fce680ab2cc467b6e072b8b5df1996b2';

const PROGRAMS = { 'linux-x64': 'firmtally', 'win-x64': 'firmtally.exe' } as const;

const outdir = inWorkspace('dist/standalone');
const { values: options } = parseArgs({ options: { only: { type: 'string' } } });
const wanted = (Object.keys(PROGRAMS) as NodePlatform[]).filter(
  (platform) => options.only === undefined || options.only === platform,
);
if (wanted.length === 0) throw new Error(`--only takes ${Object.keys(PROGRAMS).join(' or ')}`);

try {
  await makeAll();
} catch (error) {
  if (!(error instanceof RegistryUnreachable)) throw error;
  process.stdout.write(`standalone: SKIPPED: ${error.message}\n`);
}

async function makeAll(): Promise<void> {
  // First of all, so that nobody takes earlier ones for what was made now.
  await rm(outdir, { recursive: true, force: true });
  // Its own platform's Node writes the part that goes into every program.
  const maker = await nodeBuild('linux-x64', NODE.standalone);
  const builds = await Promise.all(wanted.map((each) => nodeBuild(each, NODE.standalone)));
  const making = await mkdtemp(join(tmpdir(), 'firmtally-standalone-'));
  try {
    const outputs = await bundleWhole(making, (await workerSource()).text);
    await mkdir(outdir, { recursive: true });
    for (const [index, platform] of wanted.entries()) {
      const executable = builds[index]?.executable ?? '';
      await makeOne(platform, executable, maker.executable, making);
    }
    if (maker.licence === null) throw new Error("Node's licence is not in its package");
    await copyFile(maker.licence, join(outdir, 'NODE-LICENSE.txt'));
    await copyFile(inWorkspace('LICENSE'), join(outdir, 'LICENSE.txt'));
    const packages = [...packagesInBundle(outputs), ...packagesInGenerated()];
    await writeFile(join(outdir, 'THIRD-PARTY-NOTICES.txt'), noticesText(packages, true));
    await writeSums();
  } finally {
    await rm(making, { recursive: true, force: true });
  }
}

async function makeOne(
  platform: NodePlatform,
  node: string,
  maker: string,
  making: string,
): Promise<void> {
  const blob = join(making, `${platform}.blob`);
  const config = join(making, `${platform}.json`);
  await writeFile(
    config,
    JSON.stringify({
      main: join(making, 'firmtally.js'),
      output: blob,
      disableExperimentalSEAWarning: true,
      // Compiled code fits only the system that compiled it.
      useCodeCache: platform === 'linux-x64',
    }),
  );
  await run(maker, ['--experimental-sea-config', config]);
  const program = join(outdir, PROGRAMS[platform]);
  const bytes = await readFile(node);
  await writeFile(program, platform === 'win-x64' ? withoutSignature(bytes) : bytes);
  await quietly(async () =>
    inject(program, RESOURCE, await readFile(blob), { sentinelFuse: FUSE }),
  );
  await chmod(program, 0o755);
}

/** postject warns of sections without a name, which Node's builds for Linux have; nothing comes of it. */
async function quietly(work: () => Promise<void>): Promise<void> {
  const { warn } = console;
  console.warn = (text: string) => {
    if (!text.startsWith("warning: Can't find string offset for section name")) warn(text);
  };
  try {
    await work();
  } finally {
    console.warn = warn;
  }
}

/** SHA256SUMS, by the command itself. */
async function writeSums(): Promise<void> {
  const names = [
    ...wanted.map((platform) => PROGRAMS[platform]),
    'LICENSE.txt',
    'NODE-LICENSE.txt',
    'THIRD-PARTY-NOTICES.txt',
  ];
  const firmtally = inWorkspace('packages/cli/dist/bundle/firmtally.js');
  const words = ['digest', '--format', 'sums', '--algorithm', 'sha256', ...names];
  const { stdout } = await run(process.execPath, [firmtally, ...words], { cwd: outdir });
  await writeFile(join(outdir, 'SHA256SUMS'), stdout);
  process.stdout.write(`${stdout}standalone: in ${outdir}\n`);
}
