import { resolve } from 'node:path';
import {
  auditFolder,
  FirmtallyError,
  renderCsv,
  renderHtml,
  renderJson,
  renderMarkdown,
  renderTap,
  selectSystems,
  viewOf,
  type AuditResult,
  type Manifest,
  type Report,
} from '@firmtally/core';
import {
  createDigester,
  defaultJobs,
  nativeDigestStream,
  openFolder,
  withSlashes,
  zipReader,
} from '@firmtally/host';
import { readEarlierReport, withComparison } from '../audit/earlier-report.js';
import { auditOptions, FORMATS, type AuditOptions } from '../audit/options.js';
import { showProgress } from '../audit/show-progress.js';
import type { Command } from '../command.js';
import { paint, type Context } from '../context.js';
import { EXIT, type ExitCode } from '../exit-code.js';
import { loadManifests } from '../load-manifests.js';
import { MANIFEST_OPTION, SYSTEM_OPTIONS } from '../arguments/common-options.js';
import { startProgress } from '../terminal/progress.js';
import { pathMessage } from '../trouble-text.js';

export const command: Command = {
  operand: {
    name: 'root',
    describe: 'Folder to audit, for example where the card is mounted',
    required: true,
    many: false,
  },
  options: {
    ...MANIFEST_OPTION,
    ...SYSTEM_OPTIONS,
    format: {
      describe: 'How to write the report',
      value: { name: '<format>', choices: FORMATS, default: 'table' },
    },
    detail: { describe: 'Add every firmware with its digests' },
    strays: { describe: 'List files beside the expected ones that nothing accounts for' },
    strict: { describe: 'Unproven counts as not ready' },
    since: {
      describe: 'Say what changed since this earlier JSON report',
      value: { name: '<report>' },
    },
    wide: { describe: 'Look for misplaced firmware in every file, whatever its name and size' },
    jobs: { describe: 'Files hashed at the same time', value: { name: '<number>' } },
  },
  examples: [
    ['firmtally audit /media/card -m tern.yaml', 'Which systems are ready, and what to do'],
    ['firmtally audit /media/card -m tern.yaml --loadout pocket', 'Only what one device needs'],
    [
      'firmtally audit . -m tern.yaml --format json -o before.json',
      'Keep a report to compare with later',
    ],
    [
      'firmtally audit . -m tern.yaml --since before.json',
      'What changed, bytes that rotted included',
    ],
  ],
  epilogue: [
    'Exit codes:',
    '  0  all selected systems are ready (or unproven, without --strict)',
    '  1  some are not ready, or bytes changed silently since the earlier report',
    '  2  trouble: wrong usage, or a manifest, report or folder that cannot be read',
    '',
  ],
  prepare: (given) => {
    const options = auditOptions(given);
    return (context) => runAudit(options, context);
  },
};

async function runAudit(options: AuditOptions, context: Context): Promise<ExitCode> {
  const earlier = options.since === null ? null : await readEarlierReport(options.since, context);
  const manifest = await loadManifests(options.manifests, context);
  const result = await auditRoot(options, manifest, context);
  const report = earlier === null ? result.report : withComparison(result, earlier);
  await showFaults(report, context);
  await context.stdout.write(await render(report, manifest, options, context));
  return exitCode(report);
}

async function auditRoot(
  options: AuditOptions,
  manifest: Manifest,
  context: Context,
): Promise<AuditResult> {
  const selection = selectSystems(manifest, {
    ...(options.systems === null ? {} : { systems: options.systems }),
    loadout: options.loadout,
  });
  if (selection.systems.length === 0) throw nothingSelected(options);
  const folder = await openFolder(resolve(context.cwd, options.root));
  const jobs = options.jobs ?? defaultJobs();
  const digester = createDigester(folder, { jobs });
  const line = startProgress(context);
  try {
    return await auditFolder({
      root: withSlashes(options.root),
      manifest,
      selection,
      folder,
      digester,
      archives: zipReader,
      digestStream: nativeDigestStream,
      wide: options.wide,
      strays: options.strays,
      strict: options.strict,
      // One file waits for each that is being hashed, so that no thread does.
      jobs: 2 * jobs,
      onProgress: showProgress(line),
    });
  } finally {
    await line.stop();
    await digester.close();
  }
}

/** A run that checks nothing must not look like one where all is well. */
function nothingSelected({ loadout, manifests }: AuditOptions): FirmtallyError {
  return loadout === null
    ? new FirmtallyError(
        'manifest-invalid',
        `${manifests.join(', ')}: no systems, so there is nothing to audit`,
        'Add a `systems:` section that says which firmware each system requires.',
      )
    : new FirmtallyError(
        'manifest-invalid',
        `the loadout "${loadout}" has no systems, so there is nothing to audit`,
        'Name systems in it, or leave --loadout away.',
      );
}

/** The table says of a firmware that cannot be read what there is to say. */
async function showFaults(report: Report, context: Context): Promise<void> {
  const faults = viewOf(report).otherFaults;
  if (context.quiet || faults.length === 0) return;
  const lines = faults.map(({ path, message }) =>
    pathMessage(path === '' ? report.root : path, message),
  );
  await context.stderr.write(lines.join(''));
}

async function render(
  report: Report,
  manifest: Manifest,
  options: AuditOptions,
  context: Context,
): Promise<string> {
  const { detail } = options;
  switch (options.format) {
    case 'json':
      return renderJson(report);
    case 'markdown':
      return renderMarkdown(report, { detail, manifest });
    case 'csv':
      return renderCsv(report);
    case 'tap':
      return renderTap(report);
    case 'html':
      return renderHtml(report, { detail, manifest });
    case 'table': {
      // Only this format needs the libraries that measure and draw.
      const { renderTable } = await import('../audit/render-table.js');
      const { columns, ascii } = context;
      return renderTable(report, {
        columns,
        ascii,
        detail,
        manifest,
        paint: (style, text) => paint(context, style, text),
      });
    }
  }
}

function exitCode(report: Report): ExitCode {
  const rotted = report.since?.changedBytes.some((change) => change.silently) ?? false;
  return report.totals.systems['not-ready'] > 0 || rotted ? EXIT.differs : EXIT.good;
}
