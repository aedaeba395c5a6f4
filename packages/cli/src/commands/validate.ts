import {
  count,
  MAX_PROBLEMS,
  jsonText,
  readManifests,
  sarifLog,
  validationDocument,
  type ManifestFile,
  type Problem,
} from '@firmtally/core';
import { nativeEngine } from '@firmtally/host';
import type { Command } from '../command.js';
import { ownOptionsFirst } from '../option-groups.js';
import { paint, type Context } from '../context.js';
import { EXIT } from '../exit-code.js';
import { problemsText, readManifestFiles } from '../load-manifests.js';
import { troubleText } from '../trouble-text.js';

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
    const paths = args['manifest'] as readonly string[];
    const { files, errors } = await readManifestFiles(paths, context);
    const { manifest, problems } = await readManifests(files, {
      engine: nativeEngine,
      incomplete: errors.length > 0,
    });
    await context.stdout.write(
      RENDERERS[args['format'] as (typeof FORMATS)[number]](problems, files, context),
    );
    for (const error of errors) await context.stderr.write(troubleText(error));
    if (errors.length > 0) return EXIT.trouble;
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
    if (files.length === 0) return '';
    const text = problemsText(problems, files, context);
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
    ...(errors === 0 ? [] : [paint(context, 'red', countedProblems(errors, 'error'))]),
    ...(warnings === 0 ? [] : [paint(context, 'yellow', countedProblems(warnings, 'warning'))]),
  ].join(', ');
  const verdict =
    errors === 0 ? paint(context, 'green', 'valid') : paint(context, 'red', 'invalid');
  return `${count(files.length, 'manifest')}: ${verdict}${counts === '' ? '' : ` (${counts})`}`;
}

/** One more than are kept is the one that says so. */
function countedProblems(number: number, noun: string): string {
  return number > MAX_PROBLEMS ? `more than ${MAX_PROBLEMS} ${noun}s` : count(number, noun);
}
