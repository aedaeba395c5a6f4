import type { ToGetDump, ToGetItem } from '@firmtally/core';
import { labelled, type LineStyle } from './terminal/labelled.js';
import { wrapIndented } from './terminal/wrap.js';

/** What is to get, as `audit` and `place` show it: where it belongs, by what it is known, for whom. */
export function toGetText(item: ToGetItem, style: LineStyle): string {
  const choice = item.files.length > 1;
  const optional = item.optional ? ' (optional)' : '';
  return [
    ...(choice ? bold(`One of these${optional}:`, '', style) : []),
    ...item.files.flatMap(({ path, note, dumps, members }) => [
      ...(choice ? bold(path, '  ', style) : bold(`${path}${optional}`, '', style)),
      ...(note === null ? [] : labelled('note', note, style)),
      ...dumps.flatMap((dump) => labelled(dump.name ?? 'expected', dumpText(dump), style)),
      ...members.flatMap((member) =>
        member.dumps.flatMap((dump) =>
          labelled(
            'member',
            `${member.path}: ${dump.name === null ? '' : `${dump.name}, `}${dumpText(dump)}`,
            style,
          ),
        ),
      ),
    ]),
    ...item.facts.flatMap((fact) => labelled('instead', fact, style)),
    ...labelled('for', item.systems.join(', '), style),
  ].join('\n');
}

/** Size and the checksum to go by: there is no room for more. */
function dumpText({ size, checksum }: ToGetDump): string {
  return [
    ...(size === null ? [] : [size]),
    ...(checksum === null ? [] : [`${checksum.name} ${checksum.digest}`]),
  ].join(', ');
}

function bold(text: string, indent: string, { columns, paint }: LineStyle): string[] {
  return wrapIndented(text, indent, columns).map((line) => paint('bold', line));
}
