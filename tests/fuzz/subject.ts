/** The one place where the fuzzer meets the code it judges. */
import {
  audit,
  readManifests,
  type FolderSource,
  type Manifest,
  type Platform,
  type Problem,
  type Report,
} from '@firmtally/core';
import { check } from './check.js';

export interface Read {
  readonly manifest: Manifest | null;
  readonly problems: readonly Problem[];
}

/** Reads manifest files; never throws for what is in them. */
export async function readBytes(
  files: readonly { path: string; bytes: Uint8Array }[],
): Promise<Read> {
  return readManifests(files);
}

/** Reads a manifest that the fuzzer knows to be without faults. */
export async function readFaultless(text: string): Promise<Manifest> {
  const { manifest, problems } = await readBytes([{ path: 'm.yaml', bytes: Buffer.from(text) }]);
  const errors = problems.filter((problem) => problem.severity === 'error');
  check(manifest !== null && errors.length === 0, 'no errors in a faultless manifest', {
    errors,
    text,
  });
  return manifest;
}

export interface Audited {
  readonly report: Report;
}

interface AuditOptions {
  readonly manifest: Manifest;
  readonly folder: FolderSource;
  readonly platform: Platform;
  readonly wide: boolean;
  readonly jobs: number;
}

export async function auditWith({ manifest, folder, ...options }: AuditOptions): Promise<Audited> {
  const report = await audit(folder, {
    ...options,
    manifests: manifest,
    root: 'root',
    strays: true,
  });
  return { report };
}
