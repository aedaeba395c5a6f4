import { bestOf, CLI, NODE_MAJOR, timed, times } from '../run.js';
import type { MeasureInput, Row } from '../table.js';
import { oneFileCard } from './card.js';
import { demoCard, DEMO_MANIFEST } from './demo.js';

/** `audit` of small cards, start to end, against Node doing nothing. */
export async function measureStartUp({ folder, quick }: MeasureInput): Promise<Row[]> {
  const demo = await demoCard();
  const one = await oneFileCard(folder);
  const [ofDemo = 0, ofOne = 0, bare = 0] = await bestOf(quick ? 5 : 20, [
    () => timed(process.execPath, [CLI, 'audit', demo, '-m', DEMO_MANIFEST], [1]),
    () => timed(process.execPath, [CLI, 'audit', one.card, '-m', one.manifest]),
    () => timed(process.execPath, ['-e', '0']),
  ]);
  const row = (what: string, ms: number, bar: number | null): Row => ({
    what: `\`audit\` of ${what}, start to end, against \`node -e 0\``,
    measured: `${times(ms / bare)} (${ms.toFixed(0)} ms against ${bare.toFixed(0)} ms)`,
    bar: bar === null ? '' : `≤ ${String(bar)}×`,
    kept: bar === null ? null : ms / bare <= bar,
  });
  return [
    // Newer Node takes less time to do nothing.
    row('the demo card', ofDemo, NODE_MAJOR < 22 ? 2.5 : 4),
    row('a card of one file', ofOne, NODE_MAJOR < 22 ? 2 : null),
  ];
}
