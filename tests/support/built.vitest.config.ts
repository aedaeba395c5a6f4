/** The tests of host and command where all is built already: under Wine, other versions of Node, executables. */
import { fileURLToPath } from 'node:url';
import type { ViteUserConfig } from 'vitest/config';
import base from '../../vitest.config.js';

const config: ViteUserConfig = {
  ...base,
  root: fileURLToPath(new URL('../..', import.meta.url)),
  test: {
    ...base.test,
    include: ['tests/{host,cli,vectors}/**/*.test.ts'],
    globalSetup: [],
    // Under Wine every process costs several times what it does on Linux.
    testTimeout: 120_000,
    hookTimeout: 120_000,
  },
};

export default config;
