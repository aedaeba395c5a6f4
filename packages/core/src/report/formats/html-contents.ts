import { READINESS, type Readiness } from '../../judge/verdict.js';
import { baseName } from '../../text/path.js';
import type { ReportView } from '../view.js';
import { HEADINGS } from '../words.js';
import type { FormatOptions } from './format.js';
import { breakable } from './html-text.js';

/** The whole in a few lines: which systems work, what to get, what to do next; each leads to its part below. */
export function contents(view: ReportView, options: FormatOptions): string[] {
  const named = (readiness: Readiness): readonly string[] =>
    view.systems.filter((line) => line.readiness === readiness).map(({ name }) => name);
  const files = view.toGet.map(
    ({ files, optional }) =>
      `${files.map(({ path }) => baseName(path)).join(' or ')}${optional ? ' (optional)' : ''}`,
  );
  const toDo = options.brief === true ? [] : view.toDo.map(({ text }) => text);
  const lines = [
    ...READINESS.map((readiness) =>
      glance('systems', READINESS_TITLES[readiness], named(readiness)),
    ),
    glance('to-get', HEADINGS.toGet, files),
    glance('to-do', HEADINGS.toDo, toDo, 1),
  ].flat();
  return ['<nav aria-label="Contents">', '<ul>', ...lines, '</ul>', '</nav>'];
}

const READINESS_TITLES: Readonly<Record<Readiness, string>> = {
  ready: 'Ready',
  unproven: 'Unproven',
  'not-ready': 'Not ready',
};

function glance(
  id: string,
  title: string,
  names: readonly string[],
  atMost = AT_A_GLANCE,
): string[] {
  if (names.length === 0) return [];
  const few = names.slice(0, atMost).map(breakable).join(', ');
  const left = names.length - atMost;
  const more = left > 0 ? ` <span class="soft">and ${String(left)} more</span>` : '';
  return [`<li><a href="#${id}">${title} (${String(names.length)})</a>: ${few}${more}</li>`];
}

/** Names in one line of the contents. */
const AT_A_GLANCE = 6;
