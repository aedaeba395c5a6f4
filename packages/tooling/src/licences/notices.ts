import { readFileSync } from 'node:fs';
import { inWorkspace } from '../paths.js';
import type { BundledPackage } from './bundled-packages.js';

/**
 * THIRD-PARTY-NOTICES.txt: the licences that must go wherever the code goes.
 *
 * @param unicode whether the table made from Unicode's data is in there too
 */
export function noticesText(packages: readonly BundledPackage[], unicode: boolean): string {
  const parts = packages.map(
    (one) =>
      `${one.name} ${one.version} (${one.license})\n\n${one.text.replaceAll('\r\n', '\n').trim()}`,
  );
  if (unicode) {
    const text = readFileSync(inWorkspace('packages/tooling/src/licences/unicode-v3.txt'), 'utf8');
    parts.push(
      `Unicode Character Database 17.0.0, CaseFolding.txt (Unicode-3.0)\n\n${text.trim()}`,
    );
  }
  return `${INTRODUCTION}\n${parts.map((part) => `\n${LINE}\n${part}\n`).join('')}`;
}

const INTRODUCTION =
  'Firmtally is under the MIT licence (see LICENSE). It contains parts of these works:';
const LINE = '='.repeat(72);
