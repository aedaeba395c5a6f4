import type { AdviceCode, Report } from '@firmtally/core';
import { quoted } from '../quoted.js';
import type { NextCommand } from './render-table.js';
import type { AuditOptions } from './options.js';

/** What `firmtally place` does by itself. */
const PLACED: ReadonlySet<AdviceCode> = new Set(['copy-there', 'rename-to', 'replace-with']);

/**
 * The command that puts files where they belong; null when there is nothing it
 * could do. A root that may be the wrong one is nothing to write to; an empty one may be a new card.
 */
export function nextCommand(report: Report, options: AuditOptions): NextCommand | null {
  if (report.hints.some(({ code }) => code !== 'empty-root')) return null;
  const waiting = new Set(
    report.systems.filter(({ readiness }) => readiness !== 'ready').map(({ id }) => id),
  );
  const open = report.firmware.filter(({ systems }) => systems.some((id) => waiting.has(id)));
  const repairs = open.some(({ advice }) => advice?.code === 'repair');
  const moves = open.some(({ advice }) => advice !== null && PLACED.has(advice.code));
  const lacks = report.toGet.some(({ optional }) => !optional);
  if (!lacks && !moves && !repairs) return null;
  return {
    text: lacks
      ? 'Have a pile of files? This shows what can be put right from it and from the card itself; --apply does it:'
      : 'This shows what can be put right with what is on the card; --apply does it:',
    command: [
      'firmtally place',
      ...(lacks ? ['PILE'] : []),
      `--onto ${quoted(options.root)}`,
      ...options.manifests.map((path) => `-m ${quoted(path)}`),
      ...(options.systems === null ? [] : [`--system ${options.systems.join(',')}`]),
      ...(options.loadout === null ? [] : [`--loadout ${options.loadout}`]),
      ...(repairs ? ['--repair'] : []),
    ].join(' '),
  };
}
