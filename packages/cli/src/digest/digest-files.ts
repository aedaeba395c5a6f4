import { jsonText, type Algorithm } from '@firmtally/core';
import { digestFiles, type DigestTaskOptions } from '@firmtally/host';
import type { Context } from '../context.js';
import { EXIT, type ExitCode } from '../exit-code.js';
import { startProgress } from '../terminal/progress.js';
import { noticesTo, pathMessage } from '../trouble-text.js';
import { fileText, type DigestFormat } from './render.js';

export interface DigestRequest {
  readonly paths: readonly string[];
  readonly algorithms: readonly Algorithm[];
  readonly format: DigestFormat;
}

/** Prints digests in the order given, as they come. A file that cannot be read is told on stderr; the others are still done. */
export async function printDigests(request: DigestRequest, context: Context): Promise<ExitCode> {
  const { paths, algorithms, format } = request;
  const line = startProgress(context);
  try {
    const document = await digestFiles(paths, {
      ...taskOptions(paths, context),
      algorithms,
      onProgress: line.show,
      onFile: async (row) => {
        if ('code' in row) {
          await line.clear();
          await context.stderr.write(pathMessage(row.path, row.message));
        } else if (format !== 'json') {
          await line.clear();
          await context.stdout.write(fileText(row, format));
        }
      },
    });
    await line.stop();
    if (format === 'json') await context.stdout.write(jsonText(document));
    return document.faults.length > 0 ? EXIT.trouble : EXIT.good;
  } finally {
    await line.stop();
  }
}

/** What a task on files is told of where it runs. */
export function taskOptions(paths: readonly string[], context: Context): DigestTaskOptions {
  return {
    cwd: context.cwd,
    ...(paths.includes('-') ? { stdin: context.stdin } : {}),
    onNotice: noticesTo(context),
  };
}
