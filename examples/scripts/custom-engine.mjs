// Hashes with an engine of your own: here Node's own hashes, with a count of the
// bytes that went through. A chip that hashes, or a cache, would be put in the
// same way.
//
//   node examples/scripts/custom-engine.mjs FOLDER MANIFEST
import { createHash } from 'node:crypto';
import { readFile } from 'node:fs/promises';
import { crc32 } from 'node:zlib';
import { audit } from '@firmtally/core';
import { nodePlatform, openFolder } from '@firmtally/host';
import { run } from './run.mjs';

let hashed = 0;

/** @type {import('@firmtally/core').DigestEngine} */
const engine = {
  name: 'counting',
  create: (algorithms) => {
    let crc = 0;
    const hashes = algorithms
      .filter((name) => name !== 'crc32')
      .map((name) => ({ name, hash: createHash(name) }));
    return Promise.resolve({
      update(chunk) {
        hashed += chunk.length;
        if (algorithms.includes('crc32')) crc = crc32(chunk, crc);
        for (const { hash } of hashes) hash.update(chunk);
      },
      // Lower-case hex, of the algorithms asked for; anything else is refused.
      digest: () => ({
        ...(algorithms.includes('crc32') ? { crc32: crc.toString(16).padStart(8, '0') } : {}),
        ...Object.fromEntries(hashes.map(({ name, hash }) => [name, hash.digest('hex')])),
      }),
    });
  },
};

await run(async () => {
  const [root, path] = process.argv.slice(2);
  if (root === undefined || path === undefined) throw new Error('usage: FOLDER MANIFEST');
  // The folder hashes whole files, on this thread with an engine of one's own; the platform's is for the rest.
  const folder = await openFolder(root, { engine });
  const { totals } = await audit(folder, {
    manifests: [{ path, bytes: await readFile(path) }],
    platform: { ...nodePlatform, engine },
    root,
  });
  await folder.close();
  console.log(`${totals.systems.ready} systems ready, ${hashed} bytes hashed`);
  return totals.systems['not-ready'] === 0 ? 0 : 1;
});
