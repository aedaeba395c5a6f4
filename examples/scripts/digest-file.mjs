// Digests one file with all four algorithms in one reading of it.
//
//   node examples/scripts/digest-file.mjs FILE
import { ALGORITHMS, digestStream } from '@firmtally/core';
import { nativeEngine } from '@firmtally/host';
import { namedFiles } from '@firmtally/host/internal';
import { run } from './read-manifest.mjs';

await run(async () => {
  const [file] = process.argv.slice(2);
  if (file === undefined) throw new Error('usage: FILE');
  const stream = namedFiles(process.cwd()).open(file);
  const { size, digests } = await digestStream(stream, ALGORITHMS, nativeEngine);
  console.log(`size    ${size} bytes`);
  for (const algorithm of ALGORITHMS) console.log(`${algorithm.padEnd(7)} ${digests[algorithm]}`);
  return 0;
});
