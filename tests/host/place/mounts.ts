import { execFileSync, spawn, type ChildProcess } from 'node:child_process';
import { existsSync, mkdirSync, readFileSync, truncateSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { onTestFinished, type TestContext } from 'vitest';

/** Runs a tool of the system and gives its output; throws when it is not there or fails. */
export function run(command: string, ...args: readonly string[]): string {
  return execFileSync(command, args, { stdio: 'pipe', encoding: 'utf8' });
}

function isMounted(folder: string): boolean {
  return readFileSync('/proc/mounts', 'utf8').includes(` ${folder} `);
}

function unmountAtEnd(folder: string, server: ChildProcess | null = null): void {
  onTestFinished(async () => {
    if (isMounted(folder)) run('umount', folder);
    if (server !== null && server.exitCode === null) {
      const gone = new Promise((resolve) => server.once('exit', resolve));
      await Promise.race([gone, sleep(5000)]);
    }
  });
}

/** Mounts a file system in memory, or skips the test with the reason. */
export function mountTmpfs(context: TestContext, folder: string, size: string): void {
  mkdirSync(folder, { recursive: true });
  try {
    run('mount', '-t', 'tmpfs', '-o', `size=${size}`, 'tmpfs', folder);
  } catch (error) {
    context.skip(`cannot mount a tmpfs here: ${String(error)}`);
  }
  unmountAtEnd(folder);
}

/** Makes a mount read-only, or writable again. */
export function remount(folder: string, mode: 'ro' | 'rw'): void {
  run('mount', '-o', `remount,${mode}`, folder);
}

/** A file that is to hold a file system, and the folder to mount it at. */
function imageIn(root: string): { readonly image: string; readonly folder: string } {
  const paths = { image: join(root, 'card.img'), folder: join(root, 'mounted') };
  mkdirSync(paths.folder);
  writeFileSync(paths.image, '');
  truncateSync(paths.image, 40 << 20);
  return paths;
}

/** Mounts a new FAT32 image (mkfs.fat of dosfstools) by the kernel's vfat; or skips the test with the reason. */
export function mountVfat(context: TestContext, root: string): string {
  const { image, folder } = imageIn(root);
  try {
    run('mkfs.fat', '-F', '32', '-s', '1', image);
    run('mount', '-o', 'loop', '-t', 'vfat', image, folder);
  } catch (error) {
    context.skip(`cannot make and mount a FAT32 image with the kernel's vfat: ${String(error)}`);
  }
  unmountAtEnd(folder);
  return folder;
}

/** Mounts a new exFAT image (mkfs.exfat of exfatprogs) by exfat-fuse; or skips the test with the reason. */
export function mountExfat(context: TestContext, root: string): string {
  const { image, folder } = imageIn(root);
  try {
    run('mkfs.exfat', '-c', '4K', image);
    const device = run('losetup', '-f', '--show', image).trim();
    onTestFinished(() => {
      run('losetup', '-d', device);
    });
    run('mount.exfat-fuse', device, folder);
  } catch (error) {
    context.skip(`cannot make and mount an exFAT image with exfat-fuse: ${String(error)}`);
  }
  unmountAtEnd(folder);
  return folder;
}

/**
 * Mounts a new FAT32 image by fusefat, in user space; or skips the test with
 * the reason. Seen of its version 0.1a: a folder that is renamed loses what is
 * in it, and statfs answers zeros.
 */
export async function mountFusefat(context: TestContext, root: string): Promise<string> {
  const { image, folder } = imageIn(root);
  const program = '/usr/bin/fusefat';
  if (!existsSync(program) || !existsSync('/dev/fuse')) {
    context.skip('no fusefat here');
  }
  try {
    run('mkfs.fat', '-F', '32', '-s', '1', image);
  } catch (error) {
    context.skip(`cannot make a FAT32 image: ${String(error)}`);
  }
  const server = spawn(program, ['-f', '-o', 'rw+', image, folder], { stdio: 'ignore' });
  unmountAtEnd(folder, server);
  for (let tries = 0; tries < 100 && !isMounted(folder); tries++) await sleep(50);
  if (!isMounted(folder)) context.skip('fusefat cannot mount here');
  return folder;
}
