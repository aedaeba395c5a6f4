import { escapeText } from '@firmtally/core';

/**
 * Runs a script's main function; trouble becomes one line and exit code 2.
 * @param {() => Promise<number>} main gives the exit code
 */
export async function run(main) {
  try {
    process.exitCode = await main();
  } catch (error) {
    // Whatever a message quotes came from outside: never print it as it is.
    console.error(escapeText(error instanceof Error ? error.message : String(error)));
    process.exitCode = 2;
  }
}
