import {
  REPORT_FORMATS,
  viewOf,
  type EarlierAudit,
  type Report,
  type ReportView,
} from '@firmtally/core';
import { auditFolder } from '@firmtally/host';
import { nextCommand } from '../audit/next-command.js';
import { auditOptions, FORMATS, type AuditOptions } from '../audit/options.js';
import type { Command } from '../command.js';
import { paint, type Context } from '../context.js';
import { EXIT, type ExitCode } from '../exit-code.js';
import { loadManifests } from '../load-manifests.js';
import { MANIFEST_OPTION, SYSTEM_OPTIONS } from '../arguments/common-options.js';
import { startProgress } from '../terminal/progress.js';
import { noticesTo, pathMessage } from '../trouble-text.js';

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
    brief: { describe: 'Only what is ready and what to get, not what to do' },
    detail: { describe: 'Add every firmware with its checksums, and files without a picture' },
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
  const since = options.since === null ? null : await earlierReport(options.since, context);
  const manifests = await loadManifests(options.manifests, [options.root], context);
  const line = startProgress(context);
  let report: Report;
  try {
    report = await auditFolder(options.root, {
      manifests,
      ...(options.systems === null ? {} : { systems: options.systems }),
      ...(options.loadout === null ? {} : { loadout: options.loadout }),
      ...(since === null ? {} : { since }),
      ...(options.jobs === null ? {} : { jobs: options.jobs }),
      wide: options.wide,
      strays: options.strays,
      strict: options.strict,
      cwd: context.cwd,
      onProgress: line.show,
      onNotice: noticesTo(context),
    });
  } finally {
    await line.stop();
  }
  const view = viewOf(report);
  await showFaults(view, context);
  await context.stdout.write(await render(view, options, context));
  return exitCode(report);
}

/** Its schema is large, and rarely wanted. */
async function earlierReport(path: string, context: Context): Promise<EarlierAudit> {
  const { readEarlierReport } = await import('../audit/earlier-report.js');
  return readEarlierReport(path, context);
}

/** The table says of a firmware that cannot be read what there is to say. */
async function showFaults({ report, otherFaults }: ReportView, context: Context): Promise<void> {
  if (context.quiet || otherFaults.length === 0) return;
  const lines = otherFaults.map(({ path, message }) =>
    pathMessage(path === '' ? report.root : path, message),
  );
  await context.stderr.write(lines.join(''));
}

async function render(view: ReportView, options: AuditOptions, context: Context): Promise<string> {
  const { detail, brief, format } = options;
  if (format !== 'table') return REPORT_FORMATS[format].render(view, { detail, brief });
  // Only this format needs the libraries that measure and draw.
  const { renderTable } = await import('../audit/render-table.js');
  const { columns, ascii } = context;
  return renderTable(view, {
    columns,
    ascii,
    detail,
    brief,
    next: nextCommand(view.report, options),
    paint: (style, text) => paint(context, style, text),
  });
}

function exitCode(report: Report): ExitCode {
  const rotted = report.since?.changedBytes.some((change) => change.silently) ?? false;
  return report.totals.systems['not-ready'] > 0 || rotted ? EXIT.differs : EXIT.good;
}
