import { ALGORITHMS } from '../digest/engine.js';
import { escapeText } from '../text/escape.js';
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
 * a header record); a system that names none has one record of its own.
 *
 * A field that a spreadsheet would take for a formula (beginning with = + - @,
 * tab or carriage return; OWASP, "CSV Injection") gets an apostrophe in front.
 * Controls are escaped, so that no field spans lines.
 */
export function renderCsv(report: Report): string {
  const rows = new Map(report.firmware.map((row) => [row.id, row]));
  const records: (readonly (string | number | null)[])[] = [COLUMNS];
  for (const system of report.systems) {
    const head = [system.id, system.name, system.readiness];
    const named = rolesOf(system);
    if (named.length === 0) records.push([...head, ...COLUMNS.slice(head.length).map(() => null)]);
    for (const { id, role } of named) {
      records.push([...head, role, id, ...firmwareFields(rows.get(id))]);
    }
  }
  return records.map((record) => `${record.map(field).join(',')}\r\n`).join('');
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
  const risky = /^[=+\-@\t\r]/.test(value);
  const text = `${risky ? "'" : ''}${escapeText(value)}`;
  return /[",]|^\s|\s$/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
}
