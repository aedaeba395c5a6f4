import { readFile } from 'node:fs/promises';
import { escapeText, FirmtallyError, readManifests } from '@firmtally/core';

/**
 * One manifest from disk, or an error that names its first problem.
 * @param {string} path
 * @returns {Promise<import('@firmtally/core').Manifest>}
 */
export async function readManifest(path) {
  const { manifest, problems } = await readManifests([{ path, bytes: await readFile(path) }]);
  if (manifest !== null) return manifest;
  const first = problems.find(({ severity }) => severity === 'error');
  throw new FirmtallyError(
    'manifest-invalid',
    `${path}:${first?.line}:${first?.column}: ${first?.message}`,
  );
}

/**
 * Runs a script's main function; trouble becomes one line and exit code 2.
 * @param {() => Promise<number>} main gives the exit code
 */
export async function run(main) {
  try {
    process.exitCode = await main();
  } catch (error) {
    // Whatever a message quotes came from outside: never print it as it is.
    console.error(escapeText(error instanceof Error ? error.message : String(error)));
    process.exitCode = 2;
  }
}
