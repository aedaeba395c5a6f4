import { fileURLToPath } from 'node:url';
import { defineConfig } from 'vitest/config';
import { LongestFirst } from './tests/support/sequencer.js';

const source = (path: string): string =>
  fileURLToPath(new URL(`packages/${path}.ts`, import.meta.url));

export default defineConfig({
  resolve: {
    alias: {
      // The longer names first: an alias also stands for what begins with it.
      '@firmtally/core/internal': source('core/src/internal'),
      '@firmtally/host/internal': source('host/src/internal'),
      '@firmtally/core': source('core/src/index'),
      '@firmtally/host': source('host/src/index'),
    },
  },
  test: {
    include: ['tests/**/*.test.ts'],
    globalSetup: ['tests/support/build-cli.ts'],
    // By default one core is kept free, which on two cores is half of all.
    maxWorkers: '100%',
    // The files of a worker share what they import, so that it is imported once and not 60 times.
    isolate: false,
    sequence: { sequencer: LongestFirst },
    // A guard against what hangs, not a bar: beside other work everything takes several times as long.
    testTimeout: 90_000,
    // Process-starting tests share two cores with everything else.
    hookTimeout: 60_000,
  },
});
