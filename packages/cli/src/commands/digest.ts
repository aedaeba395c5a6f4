import { FirmtallyError, jsonText, type Algorithm } from '@firmtally/core';
import { checkSums } from '@firmtally/host';
import { usage } from '../arguments/arguments.js';
import type { Command } from '../command.js';
import type { Context } from '../context.js';
import type { ExitCode } from '../exit-code.js';
import { readAlgorithms } from '../digest/algorithms.js';
import { printDigests, taskOptions } from '../digest/digest-files.js';
import { DIGEST_FORMATS, type DigestFormat } from '../digest/render.js';
import { startProgress } from '../terminal/progress.js';
import { pathMessage } from '../trouble-text.js';

export const command: Command = {
  operand: {
    name: 'file',
    describe: 'Files to digest, or with --check the checksum lists; - is standard input',
    required: true,
    many: true,
    files: true,
  },
  options: {
    algorithm: {
      describe:
        'Any of crc32, md5, sha1, sha256, with commas between [default: crc32,md5,sha1; for sums: sha256]',
      value: { name: '<names>', many: true },
    },
    format: {
      describe: 'text, json, or sums (the lines that md5sum, sha1sum and sha256sum read)',
      value: { name: '<format>', choices: DIGEST_FORMATS, default: 'text' },
    },
    check: {
      describe:
        'Verify the files that checksum lists name, relative to the current folder; the algorithm follows from each checksum',
    },
  },
  examples: [
    ['firmtally digest osprey_boot.bin', 'Size, CRC-32, MD5 and SHA-1 of one file'],
    ['firmtally digest --format sums *.bin -o SHA256SUMS', 'Write a list sha256sum can check'],
    ['firmtally digest --check SHA256SUMS', 'Verify a download; 0 only if all of it matches'],
  ],
  prepare: (given) => {
    const paths = given.operands;
    const format = given.choice('format', DIGEST_FORMATS);
    const named = given.texts('algorithm');
    if (paths.filter((path) => path === '-').length > 1) {
      throw usage('- (standard input) is given more than once');
    }
    if (given.flag('check')) {
      if (named.length > 0) throw usage('--algorithm has no use with --check: the list decides');
      if (format === 'sums') throw usage('--check writes text or json, not sums');
      return (context) => check(paths, format, context);
    }
    const algorithms = named.length === 0 ? defaults(format) : readAlgorithms(named);
    if (format === 'sums') assertSums(algorithms);
    return (context) => printDigests({ paths, algorithms, format }, context);
  },
};

function defaults(format: DigestFormat): Algorithm[] {
  return format === 'sums' ? ['sha256'] : ['crc32', 'md5', 'sha1'];
}

function assertSums(algorithms: readonly Algorithm[]): void {
  if (algorithms.length !== 1) {
    throw new FirmtallyError(
      'usage',
      `--format sums writes one algorithm, not ${algorithms.length}`,
      'Name one with --algorithm: md5, sha1 or sha256.',
    );
  }
  if (algorithms[0] === 'crc32') {
    throw new FirmtallyError(
      'usage',
      '--format sums: there is no such list for crc32, no checksum tool would read it',
      'Use md5, sha1 or sha256, or --format json.',
    );
  }
}

async function check(
  paths: readonly string[],
  format: 'text' | 'json',
  context: Context,
): Promise<ExitCode> {
  const { checkExit, isEmpty, renderCheck } = await import('../digest/check-render.js');
  const { folderBeside } = await import('../digest/folder-beside.js');
  const line = startProgress(context);
  try {
    const document = await checkSums(paths, {
      ...taskOptions(paths, context),
      onProgress: line.show,
    });
    await line.stop();
    for (const { path } of document.lists.filter(isEmpty)) {
      await context.stderr.write(pathMessage(path, 'it names no file, so nothing was verified'));
    }
    for (const list of context.quiet ? [] : document.lists) {
      const folder = folderBeside(list, context.cwd);
      if (folder === null) continue;
      await context.stderr.write(
        pathMessage(list.path, `the files it names are beside the list; run this in ${folder}`),
      );
    }
    const text = format === 'json' ? jsonText(document) : renderCheck(document, context);
    await context.stdout.write(text);
    return checkExit(document);
  } finally {
    await line.stop();
  }
}
