/** The tests of host and command as they run under Wine; what is built is brought along (run.ts). */
import { fileURLToPath } from 'node:url';
import type { ViteUserConfig } from 'vitest/config';
import base from '../../vitest.config.js';

const config: ViteUserConfig = {
  ...base,
  root: fileURLToPath(new URL('../..', import.meta.url)),
  test: {
    ...base.test,
    include: ['tests/{host,cli}/**/*.test.ts'],
    globalSetup: [],
    // Every process costs several times what it does on Linux.
    testTimeout: 120_000,
    hookTimeout: 120_000,
  },
};

export default config;
