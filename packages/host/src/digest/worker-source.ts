/**
 * digest-worker.ts with all that it imports, as one CommonJS script; null where
 * the sources run unbuilt. The build puts it in (packages/tooling/src/build/worker-source.ts).
 * As a text, and not as a file to be found beside this one, it goes along into
 * any bundle, and into an executable.
 */
export const WORKER_SOURCE: string | null = null;
