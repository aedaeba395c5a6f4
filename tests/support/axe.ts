import axe from 'axe-core';
import type { Page } from 'playwright-core';

/** What axe objects to in a page (WCAG 2.2 A and AA, and its best practice), one line each. */
export async function runAxe(page: Page): Promise<string[]> {
  // As an expression: the page's own policy lets no script element in.
  if (!(await page.evaluate<boolean>('"axe" in window'))) await page.evaluate(axe.source);
  // What passes is not even listed: of a long page that takes longer than the checks.
  const run = "axe.run(document, { resultTypes: ['violations'] })";
  const { violations } = await page.evaluate<axe.AxeResults>(run);
  return violations.flatMap(({ id, help, nodes }) =>
    nodes.map(({ html }) => `${id}: ${help}: ${html.slice(0, 200)}`),
  );
}
