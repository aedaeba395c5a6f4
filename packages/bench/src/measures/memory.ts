import { spawn } from 'node:child_process';
import { truncateSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { CLI } from '../run.js';
import type { MeasureInput, Row } from '../table.js';

const MIB = 1024 * 1024;
const BAR = 150;

/** Peak memory while digesting one huge file, over that of an empty one. */
export async function measureMemory({ folder, quick }: MeasureInput): Promise<Row[]> {
  const empty = join(folder, 'empty.bin');
  const huge = join(folder, 'huge.bin');
  const gib = quick ? 1 : 4;
  writeFileSync(empty, '');
  writeFileSync(huge, '');
  truncateSync(huge, gib * 1024 * MIB);
  const over = ((await peakMemory(huge)) - (await peakMemory(empty))) / MIB;
  return [
    {
      what: `Peak memory, four digests of a ${gib} GiB sparse file, over an empty run`,
      measured: `${over.toFixed(0)} MiB`,
      bar: `< ${BAR} MB`,
      kept: over * MIB < BAR * 1e6,
    },
  ];
}

/** Peak resident set in bytes of one `digest` run, as the process itself reads it at its end. */
function peakMemory(path: string): Promise<number> {
  // maxRSS is in KiB on every platform (Node's documentation of resourceUsage).
  const atExit = `process.on('exit',()=>require('fs').writeSync(3,String(process.resourceUsage().maxRSS)))`;
  const preload = `data:text/javascript,${encodeURIComponent(
    `import { createRequire } from 'node:module'; const require = createRequire(process.cwd() + '/'); ${atExit}`,
  )}`;
  return new Promise((resolve, reject) => {
    const child = spawn(
      process.execPath,
      ['--import', preload, CLI, 'digest', path, '--quiet', '--algorithm=crc32,md5,sha1,sha256'],
      { stdio: ['ignore', 'ignore', 'inherit', 'pipe'] },
    );
    let text = '';
    child.stdio[3]?.on('data', (chunk: Buffer) => (text += chunk.toString()));
    child.on('error', reject);
    child.on('close', (code) => {
      const kib = Number(text);
      if (code === 0 && kib > 0) resolve(kib * 1024);
      else reject(new Error(`digest ended with ${String(code)}`));
    });
  });
}
