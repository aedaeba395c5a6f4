import { addTo } from '../collections.js';
import { ALGORITHMS } from '../digest/engine.js';
import { escapeText } from '../text/escape.js';
import type { Comparison } from './compare.js';
import type { FirmwareRow, Report } from './model.js';
import { rolesOf } from './roles.js';

const COLUMNS = [
  'system',
  'name',
  'readiness',
  'role',
  'firmware',
  'verdict',
  'expectedPath',
  'foundAt',
  'dump',
  'size',
  ...ALGORITHMS,
  'diagnosis',
  'advice',
] as const;

/**
 * One record for each firmware of each system (RFC 4180: CRLF, quotes doubled,
 * a header record); a system that names none has one record of its own. When an
 * earlier report was compared, a further column `since` says what changed.
 *
 * Where a spreadsheet would take a field for a formula (it begins with = + - @,
 * their full-width forms, tab or carriage return; OWASP, "CSV Injection"), an
 * apostrophe goes in front; so it does after a `;`, at which a spreadsheet set
 * to that separator begins a new cell whatever the quotes around the field.
 * Controls are escaped, so that no field spans lines.
 */
export function renderCsv(report: Report): string {
  const rows = new Map(report.firmware.map((row) => [row.id, row]));
  const changes = report.since === undefined ? null : changesOf(report.since);
  const records: (readonly (string | number | null)[])[] = [
    [...COLUMNS, ...(changes === null ? [] : ['since'])],
  ];
  for (const system of report.systems) {
    const head = [system.id, system.name, system.readiness];
    const named = rolesOf(system);
    if (named.length === 0) {
      const empty = COLUMNS.slice(head.length).map(() => null);
      records.push([...head, ...empty, ...(changes === null ? [] : [null])]);
    }
    for (const { id, role } of named) {
      const since = changes === null ? [] : [changes.get(id) ?? 'unchanged'];
      records.push([...head, role, id, ...firmwareFields(rows.get(id)), ...since]);
    }
  }
  return records.map((record) => `${record.map(field).join(',')}\r\n`).join('');
}

/** What changed of each firmware, by id; several things are set apart by `; `, worst first. */
function changesOf(since: Comparison): ReadonlyMap<string, string> {
  const found = new Map<string, string[]>();
  const note = (id: string, what: string): void => addTo(found, id, what);
  for (const { firmware, silently } of since.changedBytes) {
    if (silently) note(firmware, 'changed-silently');
  }
  for (const { firmware } of since.newlyWrong) note(firmware, 'newly-wrong');
  for (const { firmware } of since.newlyRight) note(firmware, 'newly-right');
  for (const { firmware } of since.otherwise) note(firmware, 'otherwise');
  for (const { firmware, silently } of since.changedBytes) {
    if (!silently) note(firmware, 'other-bytes');
  }
  for (const id of since.appeared) note(id, 'appeared');
  return new Map([...found].map(([id, changes]) => [id, changes.join('; ')]));
}

function firmwareFields(row: FirmwareRow | undefined): readonly (string | number | null)[] {
  return [
    row?.verdict ?? null,
    row?.expectedPath ?? null,
    row?.foundAt ?? null,
    row?.dump ?? null,
    row?.size ?? null,
    ...ALGORITHMS.map((algorithm) => row?.digests?.[algorithm] ?? null),
    row?.diagnosis ?? null,
    row?.advice ?? null,
  ];
}

function field(value: string | number | null): string {
  if (value === null) return '';
  if (typeof value === 'number') return String(value);
  const text = escapeText(value.replaceAll(BEFORE_FORMULA, "$&'"));
  return /[",]|^\s|\s$/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
}

/** Where a cell may begin, if a formula could follow. Quotes in between would be read away. */
const BEFORE_FORMULA = /(?:^|;)(?=[\s"]*[=+\-@\uff1d\uff0b\uff0d\uff20\t\r])/g;
