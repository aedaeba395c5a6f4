import type { ToGetDump, ToGetItem } from '@firmtally/core';
import { labelled, styledLines, type LineStyle } from './terminal/labelled.js';

/** What is to get, as `audit` and `place` show it: where it belongs, by what it is known, for whom. */
export function toGetText(item: ToGetItem, style: LineStyle): string {
  const choice = item.files.length > 1;
  const optional = item.optional ? ' (optional)' : '';
  const bold = (text: string, indent = ''): string[] => styledLines('bold', text, indent, style);
  return [
    ...(choice ? bold(`One of these${optional}:`) : []),
    ...item.files.flatMap(({ path, note, dumps, members }) => [
      ...(choice ? bold(path, '  ') : bold(`${path}${optional}`)),
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
