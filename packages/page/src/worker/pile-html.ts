import { CAUTIONS, type PileRow, type PileSection, type PileView } from '@firmtally/core';
import {
  breakable,
  breakablePath,
  factList,
  firstBlocks,
  firstFacts,
  firstTexts,
  type HtmlFact,
} from '@firmtally/core/internal';
import { MAX_SHOWN } from './max-shown.js';

/** What a pile holds, as HTML in which every name is escaped. */
export function pileHtml(view: PileView): string {
  return [
    '<main>',
    '<h1>What is in the pile</h1>',
    `<p class="summary">${breakable(view.summary)}</p>`,
    ...view.outcome.map((sentence) => `<p>${breakable(sentence)}</p>`),
    ...view.sections.map(sectionHtml),
    '</main>',
    `<footer>${CAUTIONS.map((caution) => `<p>${breakable(caution)}</p>`).join('')}</footer>`,
  ].join('\n');
}

function sectionHtml({ id, title, rows }: PileSection): string {
  // A long list that nothing need be done about is folded away.
  if (id === 'others' || id === 'spare') {
    return [
      '<details>',
      `<summary>${breakable(title)} (${String(rows.length)})</summary>`,
      ...listOrCards(id, rows),
      '</details>',
    ].join('\n');
  }
  return [
    `<section aria-labelledby="pile-${id}">`,
    `<h2 id="pile-${id}">${breakable(title)}</h2>`,
    ...listOrCards(id, rows),
    '</section>',
  ].join('\n');
}

function listOrCards(id: PileSection['id'], rows: readonly PileRow[]): string[] {
  if (id !== 'others' && id !== 'faults') {
    const cards = firstBlocks(rows, MAX_SHOWN, (row) => card(id, row));
    return ['<div class="cards">', ...cards, '</div>'];
  }
  const items = firstTexts(
    rows,
    MAX_SHOWN,
    ({ places, facts }) =>
      `${paths(places).join(', ')}${facts.map((fact) => `<br>${breakable(fact)}`).join('')}`,
  );
  return ['<ul>', ...items.map((item) => `<li>${item}</li>`), '</ul>'];
}

function card(id: PileSection['id'], { places, what, facts, advice, right }: PileRow): string {
  const [first = '', ...further] = places;
  const label = id === 'recognised' ? 'Is' : 'Meant for';
  const pairs: HtmlFact[] = [
    ...firstFacts(what, MAX_SHOWN, (line) => [label, breakable(line)]),
    ...firstFacts(facts, MAX_SHOWN, (fact) => ['Fact', breakable(fact)]),
    ...(right === null ? [] : [['Right one', path(right)] as HtmlFact]),
    ...(advice === null ? [] : [['Do', `<b>${breakable(advice)}</b>`] as HtmlFact]),
    ...(further.length === 0 ? [] : [['Also', paths(further).join('<br>')] as HtmlFact]),
  ];
  const kind = id === 'attention' ? 'task do' : 'entry';
  return [
    `<article class="${kind}">`,
    `<h3>${path(first)}</h3>`,
    factList(pairs),
    '</article>',
  ].join('\n');
}

function paths(all: readonly string[]): string[] {
  return firstTexts(all, MAX_SHOWN, path);
}

function path(untrusted: string): string {
  return `<code>${breakablePath(untrusted)}</code>`;
}
