import type { Algorithm } from '@firmtally/core';
import { createDigester, namedFiles } from '@firmtally/host';
import type { Context } from '../context.js';
import { EXIT, type ExitCode } from '../exit-code.js';
import { startProgress } from '../terminal/progress.js';
import { pathMessage } from '../trouble-text.js';
import { digestInput, digestStdin, explain, STDIN, totalSize } from './read-input.js';
import { renderer, type DigestFormat } from './render.js';

export interface DigestRequest {
  readonly paths: readonly string[];
  readonly algorithms: readonly Algorithm[];
  readonly format: DigestFormat;
}

/** Digests the files in the order given. One that cannot be read is told on stderr; the others are still done. */
export async function digestFiles(request: DigestRequest, context: Context): Promise<ExitCode> {
  const { paths, algorithms } = request;
  const files = namedFiles(context.cwd);
  const digester = createDigester(files);
  const named = paths.filter((path) => path !== STDIN);
  const totalBytes = totalSize(files, named);
  const progress = startProgress(context, named.length < paths.length ? {} : { totalBytes });
  const output = renderer(request.format);
  let failed = false;
  try {
    const onBytes = (count: number): void => progress.advance(count);
    // All start now, so that every core has work; they are printed in the order given.
    const pending = paths.map((path) => ({
      path,
      outcome:
        path === STDIN
          ? digestStdin(algorithms, context, onBytes)
          : digestInput(path, algorithms, digester, onBytes),
    }));
    // Awaited one by one below; a rejection before its turn must not count as unhandled.
    for (const { outcome } of pending) outcome.catch(() => undefined);
    for (const { path, outcome } of pending) {
      progress.at(path);
      const done = await outcome;
      if ('error' in done) {
        failed = true;
        await progress.clear();
        await context.stderr.write(pathMessage(path, explain(done.error)));
        continue;
      }
      const text = output.file(path, done.digested);
      if (text === '') continue;
      await progress.clear();
      await context.stdout.write(text);
    }
    await progress.stop();
    const rest = output.end();
    if (rest !== '') await context.stdout.write(rest);
  } finally {
    await progress.stop();
    await digester.close();
  }
  return failed ? EXIT.trouble : EXIT.good;
}
