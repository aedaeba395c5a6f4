#!/usr/bin/env node
import * as nodeModule from 'node:module';
import { isSea } from 'node:sea';
import { FirmtallyError } from '@firmtally/core';
import { EXIT } from './exit-code.js';
import { troubleText } from './trouble-text.js';

process.on('uncaughtException', fail);
start().catch(fail);

async function start(): Promise<void> {
  assertCurrentFolder();
  // Since Node 22.1; what it compiled once need not be compiled again. A standalone executable brings that along.
  const { enableCompileCache } = nodeModule as { enableCompileCache?: () => unknown };
  if (!isSea()) enableCompileCache?.();
  // A file of its own: only what is loaded from here on is kept.
  const { main } = await import('./main.js');
  process.exitCode = await main(process.argv.slice(2));
}

/** It may have been removed, or the card that it is on pulled out; libraries ask for it while they load. */
function assertCurrentFolder(): void {
  try {
    process.cwd();
  } catch (error) {
    throw new FirmtallyError(
      'io-error',
      'the current folder is no longer there',
      'Go to a folder that exists, and run the command again.',
      { cause: error },
    );
  }
}

/** Whatever went wrong while loading, or in what nobody waits for. */
function fail(error: unknown): void {
  process.stderr.write(troubleText(error));
  process.exit(EXIT.trouble);
}
