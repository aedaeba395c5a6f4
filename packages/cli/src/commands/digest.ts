import { FirmtallyError, type Algorithm } from '@firmtally/core';
import { namedFiles } from '@firmtally/host';
import type { Command } from '../command.js';
import { ownOptionsFirst } from '../option-groups.js';
import type { Context } from '../context.js';
import type { ExitCode } from '../exit-code.js';
import { readAlgorithms } from '../digest/algorithms.js';
import { digestFiles } from '../digest/digest-files.js';
import { DIGEST_FORMATS, type DigestFormat } from '../digest/render.js';
import { pathMessage } from '../trouble-text.js';

export const command: Command = {
  positionals: '<file..>',
  options: (yargs) =>
    ownOptionsFirst(
      yargs
        .positional('file', {
          describe: 'Files to digest, or with --check the checksum lists; - is standard input',
          type: 'string',
          array: true,
        })
        .option('algorithm', {
          describe:
            'Any of crc32, md5, sha1, sha256, with commas between [default: crc32,md5,sha1; for sums: sha256]',
          type: 'string',
          array: true,
          nargs: 1,
          requiresArg: true,
        })
        .option('format', {
          describe:
            'text, json (an array in the order given), or sums (the lines md5sum, sha1sum and sha256sum read)',
          choices: DIGEST_FORMATS,
          default: 'text',
        })
        .option('check', {
          describe:
            'Verify the files that checksum lists name, relative to the current folder; the algorithm follows from each digest',
          type: 'boolean',
        })
        .example('$0 digest osprey_boot.bin', 'Size, CRC-32, MD5 and SHA-1 of one file')
        .example('$0 digest --format sums *.bin > SHA256SUMS', 'Write a list sha256sum can check')
        .example('$0 digest --check SHA256SUMS', 'Verify a download; 0 only if all of it matches'),
    ),
  run: (args, context) => {
    const paths = args['file'] as string[];
    const given = args['algorithm'] as string[] | undefined;
    const format = args['format'] as DigestFormat;
    if (args['check'] === true) return check(paths, given, format, context);
    const algorithms = given === undefined ? defaults(format) : readAlgorithms(given);
    if (format === 'sums') assertSums(algorithms);
    return digestFiles({ paths, algorithms, format }, context);
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
  lists: readonly string[],
  algorithms: readonly string[] | undefined,
  format: DigestFormat,
  context: Context,
): Promise<ExitCode> {
  if (algorithms !== undefined) {
    throw new FirmtallyError('usage', '--algorithm has no use with --check: the list decides');
  }
  if (format !== 'text') {
    throw new FirmtallyError('usage', `--check writes text only, not ${format}`);
  }
  if (lists.filter((list) => list === '-').length > 1) {
    throw new FirmtallyError('usage', '- (standard input) is given more than once');
  }
  const { checkLists } = await import('../digest/check-lists.js');
  const { checkExit, emptyLists, renderCheck } = await import('../digest/check-render.js');
  const { folderBeside } = await import('../digest/folder-beside.js');
  const checked = await checkLists(lists, namedFiles(context.cwd), context);
  for (const list of emptyLists(checked)) {
    await context.stderr.write(pathMessage(list, 'it names no file, so nothing was verified'));
  }
  for (const list of context.quiet ? [] : checked) {
    const folder = folderBeside(list, context.cwd);
    if (folder === null) continue;
    await context.stderr.write(
      pathMessage(list.list, `the files it names are beside the list; run this in ${folder}`),
    );
  }
  await context.stdout.write(renderCheck(checked, context));
  return checkExit(checked);
}
