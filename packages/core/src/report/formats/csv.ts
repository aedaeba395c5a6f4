import { addTo } from '../../collections.js';
import { ALGORITHMS } from '../../bytes/digests.js';
import { escapeText } from '../../text/escape.js';
import type { Comparison, FirmwareRow } from '../model.js';
import { rolesOf } from '../roles.js';
import { allBut, type ReportFormat } from './format.js';

/** Names of the report's JSON fields, `role` and `since` excepted, which say where a row comes from. */
const COLUMNS = [
  'system',
  'name',
  'readiness',
  'role',
  'met',
  'firmware',
  'verdict',
  'expectedPath',
  'foundAt',
  'judged',
  'size',
  ...ALGORITHMS,
  'dump',
  'diagnosis',
  'facts',
  'advice',
  'note',
] as const;

type Field = string | number | null;

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
export const csv: ReportFormat = {
  name: 'csv',
  extension: 'csv',
  mediaType: 'text/csv',
  purpose: 'for a spreadsheet: a line for each firmware of each system',
  carries: allBut(
    ...(['title', 'loadout', 'expected', 'toGet', 'hints', 'content', 'pictures'] as const),
    ...(['strays', 'faults'] as const),
  ),
  render({ report }) {
    const rows = new Map(report.firmware.map((row) => [row.id, row]));
    const changes = report.since === undefined ? null : changesOf(report.since);
    const records: (readonly Field[])[] = [[...COLUMNS, ...(changes === null ? [] : ['since'])]];
    for (const system of report.systems) {
      const head = [system.id, system.name, system.readiness];
      const named = rolesOf(system);
      if (named.length === 0) {
        const empty = COLUMNS.slice(head.length).map(() => null);
        records.push([...head, ...empty, ...(changes === null ? [] : [null])]);
      }
      for (const { id, role, met } of named) {
        const since = changes === null ? [] : [changes.get(id) ?? 'unchanged'];
        records.push([...head, role, met, id, ...firmwareFields(rows.get(id)), ...since]);
      }
    }
    return records.map((record) => `${record.map(field).join(',')}\r\n`).join('');
  },
};

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

function firmwareFields(row: FirmwareRow | undefined): readonly Field[] {
  return [
    row?.verdict ?? null,
    row?.expectedPath ?? null,
    row?.foundAt ?? null,
    row?.judged ?? null,
    row?.size ?? null,
    ...ALGORITHMS.map((algorithm) => row?.digests?.[algorithm] ?? null),
    row?.dump ?? null,
    row?.diagnosis ?? null,
    row?.facts.map(({ text }) => text).join(' ') ?? null,
    row?.advice?.text ?? null,
    row?.note ?? null,
  ];
}

function field(value: Field): string {
  if (value === null) return '';
  if (typeof value === 'number') return String(value);
  const text = escapeText(value.replaceAll(BEFORE_FORMULA, "$&'"));
  return /[",]|^\s|\s$/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
}

/** Where a cell may begin, if a formula could follow. Quotes in between would be read away. */
const BEFORE_FORMULA = /(?:^|;)(?=[\s"]*[=+\-@\uff1d\uff0b\uff0d\uff20\t\r])/g;
