import { fileURLToPath } from 'node:url';
import { defineConfig } from 'vitest/config';

const source = (name: string): string =>
  fileURLToPath(new URL(`packages/${name}/src/index.ts`, import.meta.url));

export default defineConfig({
  resolve: {
    alias: {
      '@firmtally/core': source('core'),
      '@firmtally/host': source('host'),
    },
  },
  test: {
    include: ['tests/**/*.test.ts'],
    globalSetup: ['tests/support/build-cli.ts'],
    testTimeout: 30_000,
    // Process-starting tests share two cores with everything else.
    hookTimeout: 60_000,
  },
});
