import { execFileSync } from 'node:child_process';
import { fileURLToPath } from 'node:url';

/** Builds once before all tests, so that process tests run the bundle people get. */
export default function setup(): void {
  const root = fileURLToPath(new URL('../..', import.meta.url));
  execFileSync(process.execPath, ['--import', 'tsx', 'packages/tooling/src/build.ts'], {
    cwd: root,
    stdio: 'inherit',
  });
}
