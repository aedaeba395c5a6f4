import {
  formatProblems,
  jsonText,
  readManifests,
  sarifLog,
  validationDocument,
  type ManifestFile,
  type Problem,
} from '@firmtally/core';
import type { Command } from '../command.js';
import { ownOptionsFirst } from '../option-groups.js';
import { paint, type Context } from '../context.js';
import { EXIT } from '../exit-code.js';
import { readManifestFiles } from '../load-manifests.js';

const FORMATS = ['text', 'json', 'sarif'] as const;

export const command: Command = {
  positionals: '<manifest...>',
  options: (yargs) =>
    ownOptionsFirst(
      yargs
        .positional('manifest', {
          describe: 'Manifest files, checked together; - is standard input',
          type: 'string',
          array: true,
          demandOption: true,
        })
        .option('format', {
          describe: 'How to print the problems',
          choices: FORMATS,
          default: 'text',
        })
        .example('$0 validate card.yaml', 'Check one manifest')
        .example(
          '$0 validate *.yaml --format sarif > manifests.sarif',
          'For tools that read SARIF',
        ),
    ),
  run: async (args, context) => {
    const files = await readManifestFiles(args['manifest'] as readonly string[], context);
    const { manifest, problems } = await readManifests(files);
    await context.stdout.write(
      RENDERERS[args['format'] as (typeof FORMATS)[number]](problems, files, context),
    );
    return manifest === null ? EXIT.differs : EXIT.good;
  },
};

type Renderer = (
  problems: readonly Problem[],
  files: readonly ManifestFile[],
  context: Context,
) => string;

const RENDERERS: Readonly<Record<(typeof FORMATS)[number], Renderer>> = {
  text: (problems, files, context) => {
    const text = formatProblems(problems, new Map(files.map(({ path, bytes }) => [path, bytes])), {
      columns: context.columns,
      ascii: context.ascii,
      paint: (style, part) => paint(context, style, part),
    });
    return `${text === '' ? '' : `${text}\n`}${summary(problems, files, context)}\n`;
  },
  json: (problems) => jsonText(validationDocument(problems)),
  sarif: (problems) => jsonText(sarifLog(problems)),
};

function summary(
  problems: readonly Problem[],
  files: readonly ManifestFile[],
  context: Context,
): string {
  const errors = problems.filter(({ severity }) => severity === 'error').length;
  const warnings = problems.length - errors;
  const counts = [
    ...(errors === 0 ? [] : [paint(context, 'red', counted(errors, 'error'))]),
    ...(warnings === 0 ? [] : [paint(context, 'yellow', counted(warnings, 'warning'))]),
  ].join(', ');
  const verdict =
    errors === 0 ? paint(context, 'green', 'valid') : paint(context, 'red', 'invalid');
  return `${counted(files.length, 'manifest')}: ${verdict}${counts === '' ? '' : ` (${counts})`}`;
}

function counted(count: number, noun: string): string {
  return `${count} ${noun}${count === 1 ? '' : 's'}`;
}
