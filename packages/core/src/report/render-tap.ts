import type { SystemRow } from '../judge/readiness.js';
import { escapeText } from '../text/escape.js';
import type { FirmwareRow, Report } from './model.js';
import { rolesOf } from './roles.js';
import { sinceLines, summaryLine } from './view.js';

/**
 * TAP version 14 (testanything.org): one test point for each system, `not ok`
 * when it is not ready, with a YAML diagnostic block. Its values are written as
 * JSON, which is YAML. Faults and what changed since an earlier report are comments. No TODO or SKIP directives: a system is ready or it is not.
 */
export function renderTap(report: Report): string {
  const rows = new Map(report.firmware.map((row) => [row.id, row]));
  const lines = ['TAP version 14', `1..${String(report.systems.length)}`];
  for (const fault of report.faults) {
    lines.push(comment(`fault: ${fault.path}: ${fault.code}: ${fault.message}`));
  }
  for (const [index, system] of report.systems.entries()) {
    const ok = system.readiness === 'not-ready' ? 'not ok' : 'ok';
    lines.push(`${ok} ${String(index + 1)} - ${description(`${system.id}: ${system.name}`)}`);
    lines.push('  ---', ...diagnostics(system, rows).map((line) => `  ${line}`), '  ...');
  }
  lines.push(...sinceLines(report.since).map(comment), comment(summaryLine(report)));
  return `${lines.join('\n')}\n`;
}

function diagnostics(system: SystemRow, rows: ReadonlyMap<string, FirmwareRow>): string[] {
  const { match, total } = system.optional;
  const lines = [
    `readiness: ${system.readiness}`,
    `optional: {match: ${String(match)}, total: ${String(total)}}`,
  ];
  const firmware = rolesOf(system).map(({ id, role }) => {
    const row = rows.get(id);
    return `  - ${inline({
      id,
      role,
      verdict: row?.verdict,
      expectedPath: row?.expectedPath,
      foundAt: row?.foundAt,
      diagnosis: row?.diagnosis,
      advice: row?.advice,
    })}`;
  });
  const folders = system.folders.map((folder) => `  - ${inline(folder)}`);
  lines.push(firmware.length === 0 ? 'firmware: []' : 'firmware:', ...firmware);
  if (folders.length > 0) lines.push('folders:', ...folders);
  return lines;
}

/** JSON on one line, nothing in it unprintable. */
function inline(value: unknown): string {
  return JSON.stringify(value, (_, item: unknown) =>
    typeof item === 'string' ? escapeText(item) : item,
  );
}

/** In a description a number sign would begin a directive; it and the backslash are escaped by a backslash. */
function description(text: string): string {
  return escapeText(text).replaceAll(/[\\#]/g, '\\$&');
}

function comment(text: string): string {
  return `# ${escapeText(text)}`;
}
