import {
  ALGORITHMS,
  escapeText,
  formatSumsLine,
  jsonText,
  type StreamDigests,
} from '@firmtally/core';

export const DIGEST_FORMATS = ['text', 'json', 'sums'] as const;
export type DigestFormat = (typeof DIGEST_FORMATS)[number];

/** Turns results into text as they come; '' when there is nothing to print yet. */
interface DigestRenderer {
  file(path: string, digested: StreamDigests): string;
  end(): string;
}

export function renderer(format: DigestFormat): DigestRenderer {
  if (format === 'json') return jsonRenderer();
  return { file: format === 'sums' ? sumsLine : textBlock, end: () => '' };
}

function textBlock(path: string, { size, digests }: StreamDigests): string {
  const rows = ALGORITHMS.flatMap((algorithm) => {
    const digest = digests[algorithm];
    return digest === undefined ? [] : [`  ${algorithm.padEnd(6)}  ${digest}\n`];
  });
  return `${escapeText(path)}\n  size    ${size} bytes\n${rows.join('')}`;
}

/** Names are written as they are but for the list's own escaping: another program reads this. */
function sumsLine(path: string, { digests }: StreamDigests): string {
  const [digest = ''] = Object.values(digests);
  return formatSumsLine(digest, path);
}

/** One array, see data-schemas/digest.schema.json. */
function jsonRenderer(): DigestRenderer {
  const rows: object[] = [];
  return {
    file: (path, { size, digests }) => {
      rows.push({ path, size, ...digests });
      return '';
    },
    end: () => jsonText(rows),
  };
}
