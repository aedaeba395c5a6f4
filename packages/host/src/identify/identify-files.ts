import { identify, type IdentificationDocument } from '@firmtally/core';
import { manifestFiles } from '../audit/manifest-files.js';
import { defaultJobs } from '../digest/digester.js';
import { withSources } from '../folder/open-source.js';
import { nodePlatform, type HostManifestOptions } from '../platform.js';

/**
 * Tells what files and folders of this machine hold: which dumps they are,
 * whole, damaged, or in ZIP and gzip files two levels deep. What cannot be read
 * is a fault in the document. Links that are named are followed, links inside
 * folders are not.
 *
 * @param paths files and folders, each looked at once; the document names them as they are given
 * @throws FirmtallyError `io-error` for a path that is neither file nor folder, `root-unreadable`,
 *   `manifest-unreadable`, `manifest-invalid`; the signal's reason; what a callback throws
 * @example
 * const { totals } = await identifyFiles(['pile'], { manifests: ['tern.yaml'] });
 * totals.recognised; // => 1
 */
export async function identifyFiles(
  paths: readonly string[],
  options: HostManifestOptions,
): Promise<IdentificationDocument> {
  const { signal, jobs = defaultJobs(), cwd = process.cwd() } = options;
  signal?.throwIfAborted();
  const manifests = await manifestFiles(options.manifests, cwd);
  return withSources(paths, { ...options, cwd, jobs }, (sources) =>
    // One file waits for each that is being hashed, so that no thread does.
    identify(sources, { ...options, platform: nodePlatform, manifests, jobs: 2 * jobs }),
  );
}
