// Digests one file with all four algorithms in one reading of it.
//
//   node examples/scripts/digest-file.mjs FILE
import { ALGORITHMS } from '@firmtally/core';
import { digestFiles } from '@firmtally/host';
import { run } from './run.mjs';

await run(async () => {
  const [path] = process.argv.slice(2);
  if (path === undefined) throw new Error('usage: FILE');
  const { files, faults } = await digestFiles([path], { algorithms: ALGORITHMS });
  for (const { message } of faults) throw new Error(`${path}: ${message}`);
  for (const file of files) {
    console.log(`size    ${file.size} bytes`);
    for (const algorithm of ALGORITHMS) console.log(`${algorithm.padEnd(7)} ${file[algorithm]}`);
  }
  return 0;
});
