import type { FolderRow } from '../../judge/folder-check.js';
import type { SystemRow } from '../../judge/readiness.js';
import { count } from '../../text/count.js';
import { escapeText } from '../../text/escape.js';
import type { FirmwareRow } from '../model.js';
import { rolesOf } from '../roles.js';

import { allBut, type ReportFormat } from './format.js';

/**
 * TAP version 14 (testanything.org): one test point for each system, `not ok`
 * when it is not ready, with a YAML diagnostic block. Its values are written as
 * JSON, which is YAML. What is about the whole card stands in comments. No TODO
 * or SKIP directives: a system is ready or it is not.
 */
export const tap: ReportFormat = {
  name: 'tap',
  extension: 'tap',
  mediaType: 'text/x-tap',
  purpose: 'for test runners: a test point for each system',
  carries: allBut('pictures'),
  render(view) {
    const { report } = view;
    const rows = new Map(report.firmware.map((row) => [row.id, row]));
    const lines = [
      'TAP version 14',
      `1..${String(report.systems.length)}`,
      comment(view.headline),
      ...view.hints.map((hint) => comment(`hint: ${hint}`)),
      ...(view.since === null ? [] : sinceComments(view.since)),
      ...report.faults.map((fault) =>
        comment(`fault: ${fault.path}: ${fault.code}: ${fault.message}`),
      ),
      ...report.strays.map(({ path, size }) => comment(`stray: ${path} (${count(size, 'byte')})`)),
      ...report.toGet.map((row) => `# toGet: ${inline(row)}`),
    ];
    for (const [index, system] of report.systems.entries()) {
      const ok = system.readiness === 'not-ready' ? 'not ok' : 'ok';
      lines.push(
        `${ok} ${String(index + 1)} - ${description(`${system.id}: ${system.name}`)}`,
        '  ---',
        ...diagnostics(system, rows).map((line) => `  ${line}`),
        '  ...',
      );
    }
    lines.push(comment(view.summary));
    return `${lines.join('\n')}\n`;
  },
};

function sinceComments({
  advice,
  silently,
  changes,
}: {
  readonly advice: string | null;
  readonly silently: readonly string[];
  readonly changes: readonly string[];
}): string[] {
  return [...(advice === null ? [] : [advice]), ...silently, ...changes].map(comment);
}

function diagnostics(system: SystemRow, rows: ReadonlyMap<string, FirmwareRow>): string[] {
  const { match, total } = system.optional;
  const lines = [
    `readiness: ${system.readiness}`,
    `optional: {match: ${String(match)}, total: ${String(total)}}`,
  ];
  const firmware = rolesOf(system).map(({ id, role, met }) => {
    // The systems are the test points.
    const row = { ...rows.get(id), systems: undefined };
    return `  - ${inline({ id, role, met, ...row })}`;
  });
  const folders = system.folders.map((folder) => `  - ${inline(withoutNames(folder))}`);
  lines.push(firmware.length === 0 ? 'firmware: []' : 'firmware:', ...firmware);
  if (folders.length > 0) lines.push('folders:', ...folders);
  return lines;
}

/** Counts are enough for a test. */
function withoutNames({ pictures, ...rest }: FolderRow): unknown {
  if (pictures === null) return { ...rest, pictures };
  const { folder, extensions, found } = pictures;
  return { ...rest, pictures: { folder, extensions, found } };
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
