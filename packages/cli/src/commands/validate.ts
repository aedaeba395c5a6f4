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
import { paint, type Context } from '../context.js';
import { EXIT, type ExitCode } from '../exit-code.js';
import { problemsText, readManifestFiles } from '../load-manifests.js';
import { troubleText } from '../trouble-text.js';

const FORMATS = ['text', 'json', 'sarif'] as const;

export const command: Command = {
  operand: {
    name: 'manifest',
    describe: 'Manifest files, checked together; - is standard input',
    required: true,
    many: true,
    files: true,
  },
  options: {
    format: {
      describe: 'How to print the problems',
      value: { name: '<format>', choices: FORMATS, default: 'text' },
    },
  },
  examples: [
    ['firmtally validate card.yaml', 'Check one manifest'],
    ['firmtally validate *.yaml --format sarif -o manifests.sarif', 'For tools that read SARIF'],
  ],
  prepare: (given) => {
    const format = given.choice('format', FORMATS);
    return (context) => runValidate(given.operands, format, context);
  },
};

async function runValidate(
  paths: readonly string[],
  format: (typeof FORMATS)[number],
  context: Context,
): Promise<ExitCode> {
  const { files, errors } = await readManifestFiles(paths, context);
  const { manifest, problems } = await readManifests(files, {
    engine: nativeEngine,
    incomplete: errors.length > 0,
  });
  await context.stdout.write(RENDERERS[format](problems, files, context));
  for (const error of errors) await context.stderr.write(troubleText(error));
  if (errors.length > 0) return EXIT.trouble;
  return manifest === null ? EXIT.differs : EXIT.good;
}

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
