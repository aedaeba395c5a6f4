import { build, type Metafile, type Plugin } from 'esbuild';
import { inWorkspace } from '../paths.js';
import { lazyBuiltins } from './lazy-builtins.js';

export interface WorkerSource {
  /** For `new Worker(…, { eval: true })`. */
  readonly text: string;
  /** What is in it. */
  readonly outputs: Metafile['outputs'];
}

/** The worker of packages/host as one script. */
export async function workerSource(): Promise<WorkerSource> {
  const { outputFiles, metafile } = await build({
    absWorkingDir: inWorkspace(''),
    entryPoints: [inWorkspace('packages/host/src/digest/digest-worker.ts')],
    write: false,
    metafile: true,
    bundle: true,
    format: 'cjs',
    platform: 'node',
    target: 'node20.19',
    minify: true,
    plugins: [lazyBuiltins],
    supported: { 'dynamic-import': false },
    banner: { js: `'use strict';` },
    tsconfig: inWorkspace('tsconfig.base.json'),
  });
  const [file] = outputFiles;
  if (file === undefined) throw new Error('esbuild made no worker');
  return { text: file.text, outputs: metafile.outputs };
}

/** The module packages/host/src/digest/worker-source.ts with the script in it. */
export function workerModule(source: string): string {
  return `export const WORKER_SOURCE = ${JSON.stringify(source)};\n`;
}

/** Puts the script into a bundle made from the TypeScript sources. */
export function withWorkerSource(source: string): Plugin {
  return {
    name: 'worker-source',
    setup(build) {
      build.onLoad({ filter: /[/\\]digest[/\\]worker-source\.ts$/ }, () => ({
        contents: workerModule(source),
      }));
    },
  };
}
