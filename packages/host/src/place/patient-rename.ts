import { setTimeout as sleep } from 'node:timers/promises';

/** Ms between tries, about a second in all. */
const WAITS: readonly number[] = [10, 40, 150, 300, 500];

/**
 * Tries a rename again for a moment where what refuses it is likely to pass:
 * the file is in use, which Windows also says as EPERM or EACCES while a virus
 * scanner or an indexer looks at a file just written. Throws what the last try did.
 *
 * @param rename one try
 */
export async function patientRename(
  rename: () => Promise<void>,
  platform: string = process.platform,
  waits: readonly number[] = WAITS,
): Promise<void> {
  for (const wait of waits) {
    try {
      await rename();
      return;
    } catch (error) {
      if (!mayPass((error as NodeJS.ErrnoException).code, platform)) throw error;
      await sleep(wait);
    }
  }
  await rename();
}

function mayPass(code: string | undefined, platform: string): boolean {
  return code === 'EBUSY' || (platform === 'win32' && (code === 'EPERM' || code === 'EACCES'));
}
