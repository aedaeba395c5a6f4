// Prints what placing firmware from a pile onto a card would do; writes nothing.
//
//   node examples/scripts/plan-placing.mjs PILE CARD MANIFEST
//
// Exit code 0 when the card needs nothing, else 1.
import { escapeText } from '@firmtally/core';
import { openPlacement } from '@firmtally/host';
import { run } from './run.mjs';

await run(async () => {
  const [pile, card, manifest] = process.argv.slice(2);
  if (pile === undefined || card === undefined || manifest === undefined) {
    throw new Error('usage: PILE CARD MANIFEST');
  }
  const placement = await openPlacement(card, [pile], {
    manifests: [manifest],
    repair: true,
    clusterSize: 16 * 1024, // bytes; the card is asked where this is not given
  });
  const { plan } = await placement.look();

  for (const step of plan.steps) {
    // A ZIP that is packed has an origin for each of its members.
    const origins = step.kind === 'pack' ? step.members.map(({ from }) => from) : [step.from];
    const names = origins.map(({ source, path, inside }) =>
      [
        source ?? 'card',
        path,
        ...inside.map((way) => (way.kind === 'unzip' ? way.member : 'unpacked')),
      ]
        .filter(Boolean)
        .join(' > '),
    );
    console.log(
      escapeText(`${step.kind}: ${names.join(' + ')} -> ${step.to} (${step.size} bytes)`),
    );
  }
  for (const { anyOf } of plan.toGet) console.log(`nowhere in the pile: ${anyOf.join(' or ')}`);
  console.log(`${plan.steps.length} steps`);
  return plan.steps.length === 0 && plan.toGet.length === 0 ? 0 : 1;
});
