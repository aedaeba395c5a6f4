import { bestOf, CLI, timed, times } from '../run.js';
import type { MeasureInput, Row } from '../table.js';
import { demoCard, DEMO_MANIFEST } from './demo.js';

/** `audit` on the demo card, against Node doing nothing. */
export async function measureStartUp({ quick }: MeasureInput): Promise<Row[]> {
  const card = await demoCard();
  const [audit = 0, bare = 0] = await bestOf(quick ? 5 : 20, [
    () => timed(process.execPath, [CLI, 'audit', card, '-m', DEMO_MANIFEST], [1]),
    () => timed(process.execPath, ['-e', '0']),
  ]);
  return [
    {
      what: '`audit` of the demo card, start to end, against `node -e 0`',
      measured: `${times(audit / bare)} (${audit.toFixed(0)} ms against ${bare.toFixed(0)} ms)`,
      bar: '≤ 2×',
      kept: audit / bare <= 2,
    },
  ];
}
