import { ALGORITHMS, escapeText, formatSumsLine, type DigestedFile } from '@firmtally/core';

export const DIGEST_FORMATS = ['text', 'json', 'sums'] as const;
export type DigestFormat = (typeof DIGEST_FORMATS)[number];

/** What is printed of one file. */
export function fileText(file: DigestedFile, format: 'text' | 'sums'): string {
  return format === 'sums' ? sumsLine(file) : textBlock(file);
}

function textBlock(file: DigestedFile): string {
  const rows = ALGORITHMS.flatMap((algorithm) => {
    const digest = file[algorithm];
    return digest === undefined ? [] : [`  ${algorithm.padEnd(6)}  ${digest}\n`];
  });
  return `${escapeText(file.path)}\n  size    ${file.size} bytes\n${rows.join('')}`;
}

/** Names are written as they are but for the list's own escaping: another program reads this. */
function sumsLine(file: DigestedFile): string {
  const algorithm = ALGORITHMS.find((name) => file[name] !== undefined);
  return formatSumsLine((algorithm && file[algorithm]) ?? '', file.path);
}
