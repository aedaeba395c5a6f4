import {
  jsonText,
  readManifests,
  sarifLog,
  validationDocument,
  type Manifest,
  type ManifestFile,
  type Problem,
  type ValidationResult,
} from '@firmtally/core';
import { count, MAX_PROBLEMS, manifestHoldings } from '@firmtally/core/internal';
import { nodePlatform } from '@firmtally/host';
import type { Command } from '../command.js';
import { paint, type Context } from '../context.js';
import { EXIT, type ExitCode } from '../exit-code.js';
import { readManifestFiles } from '../load-manifests.js';
import { troubleText } from '../trouble-text.js';
import { problemsText } from '../validate/problems-text.js';

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
  const read = await readManifests(files, {
    engine: nodePlatform.engine,
    incomplete: errors.length > 0,
  });
  const result = { ...read, faults: errors.map(({ path, reason }) => ({ path, ...reason })) };
  await context.stdout.write(RENDERERS[format](result, files, context));
  for (const { error } of errors) await context.stderr.write(troubleText(error));
  if (errors.length > 0) return EXIT.trouble;
  return read.manifest === null ? EXIT.differs : EXIT.good;
}

type Renderer = (
  result: ValidationResult,
  files: readonly ManifestFile[],
  context: Context,
) => string;

const RENDERERS: Readonly<Record<(typeof FORMATS)[number], Renderer>> = {
  text: ({ manifest, problems, faults = [] }, files, context) => {
    if (files.length === 0) return '';
    const text = problemsText(problems, files, context);
    const held = manifest === null || faults.length > 0 ? '' : `${holdingsText(manifest)}\n`;
    return `${text === '' ? '' : `${text}\n`}${held}${summary(problems, files, context)}\n`;
  },
  json: (result) => jsonText(validationDocument(result)),
  sarif: ({ problems }) => jsonText(sarifLog(problems)),
};

function holdingsText(manifest: Manifest): string {
  const { systems, firmware, withoutDigest, loadouts } = manifestHoldings(manifest);
  const unproven = withoutDigest === 0 ? '' : ` (${withoutDigest} without a checksum)`;
  return [
    count(systems, 'system'),
    `${count(firmware, 'firmware file')}${unproven}`,
    count(loadouts, 'loadout'),
  ].join(', ');
}

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
