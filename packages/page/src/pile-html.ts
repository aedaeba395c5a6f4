import type { PileRow, PileSection, PileView } from '@firmtally/core';
import { breakable, breakablePath, count, factList, type HtmlFact } from '@firmtally/core/internal';

/** Nobody reads more, and a page with 100,000 lines is slow. */
const MAX_LISTED = 1000;

/** What a pile holds, as HTML in which every name is escaped. */
export function pileHtml(view: PileView): string {
  return [
    '<main>',
    '<h1>What is in the pile</h1>',
    `<p class="summary">${breakable(view.summary)}</p>`,
    ...view.outcome.map((sentence) => `<p>${breakable(sentence)}</p>`),
    ...view.sections.map(sectionHtml),
    '</main>',
  ].join('\n');
}

function sectionHtml({ id, title, rows }: PileSection): string {
  const shown = rows.slice(0, MAX_LISTED);
  const more =
    rows.length > shown.length
      ? [
          `<p>and ${count(rows.length - shown.length, 'more', 'more')}: the JSON file has them all</p>`,
        ]
      : [];
  // A long list that nothing need be done about is folded away.
  if (id === 'others' || id === 'spare') {
    return [
      '<details>',
      `<summary>${breakable(title)} (${String(rows.length)})</summary>`,
      ...listOrCards(id, shown),
      ...more,
      '</details>',
    ].join('\n');
  }
  return [
    `<section aria-labelledby="pile-${id}">`,
    `<h2 id="pile-${id}">${breakable(title)}</h2>`,
    ...listOrCards(id, shown),
    ...more,
    '</section>',
  ].join('\n');
}

function listOrCards(id: PileSection['id'], rows: readonly PileRow[]): string[] {
  if (id !== 'others' && id !== 'faults') {
    return ['<div class="cards">', ...rows.map((row) => card(id, row)), '</div>'];
  }
  const items = rows.map(
    ({ places, facts }) =>
      `<li>${places.map(path).join(', ')}${facts.map((fact) => `<br>${breakable(fact)}`).join('')}</li>`,
  );
  return ['<ul>', ...items, '</ul>'];
}

function card(id: PileSection['id'], { places, what, facts, advice, right }: PileRow): string {
  const [first = '', ...further] = places;
  const label = id === 'recognised' ? 'Is' : 'Meant for';
  const pairs: HtmlFact[] = [
    ...what.map((line): HtmlFact => [label, breakable(line)]),
    ...facts.map((fact): HtmlFact => ['Fact', breakable(fact)]),
    ...(right === null ? [] : [['Right one', path(right)] as HtmlFact]),
    ...(advice === null ? [] : [['Do', `<b>${breakable(advice)}</b>`] as HtmlFact]),
    ...(further.length === 0
      ? []
      : [['Also', further.slice(0, MAX_LISTED).map(path).join('<br>')] as HtmlFact]),
  ];
  const kind = id === 'attention' ? 'task do' : 'entry';
  return [
    `<article class="${kind}">`,
    `<h3>${path(first)}</h3>`,
    factList(pairs),
    '</article>',
  ].join('\n');
}

function path(untrusted: string): string {
  return `<code>${breakablePath(untrusted)}</code>`;
}
