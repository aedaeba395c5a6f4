/** Tells what two systems' outcomes of the same command lines differ in. */
import type { Outcome, Outcomes } from './commands.js';

/** Lines of a difference that are shown; more would hide the others. */
const SHOWN = 6;

/** One text a difference; none when the two agree. */
export function differences(left: Outcomes, right: Outcomes): string[] {
  const found: string[] = [];
  const count = Math.max(left.outcomes.length, right.outcomes.length);
  for (let index = 0; index < count; index++) {
    const [a, b] = [left.outcomes[index], right.outcomes[index]];
    if (a === undefined || b === undefined || a.line !== b.line) {
      return [...found, `different commands ran: ${a?.line ?? 'none'} | ${b?.line ?? 'none'}`];
    }
    found.push(...ofCommand(a, b, left.here, right.here));
  }
  for (const path of new Set([...Object.keys(left.files), ...Object.keys(right.files)].sort())) {
    const [a, b] = [left.files[path], right.files[path]];
    if (a !== b) found.push(`file ${path}: ${a ?? 'not there'} | ${b ?? 'not there'}`);
  }
  return found;
}

function ofCommand(a: Outcome, b: Outcome, hereA: string, hereB: string): string[] {
  const found: string[] = [];
  const end = ({ code, signal }: Outcome): string => String(signal ?? code);
  if (end(a) !== end(b)) found.push(`$ ${a.line}\n  ended with ${end(a)} | ${end(b)}`);
  for (const stream of ['stdout', 'stderr'] as const) {
    const left = sameEverywhere(a[stream], hereA).split('\n');
    const right = sameEverywhere(b[stream], hereB).split('\n');
    const lines = [...Array(Math.max(left.length, right.length)).keys()].filter(
      (index) => left[index] !== right[index],
    );
    if (lines.length === 0) continue;
    const shown = lines
      .slice(0, SHOWN)
      .map((index) => `  < ${left[index] ?? '(no line)'}\n  > ${right[index] ?? '(no line)'}`);
    found.push(
      `$ ${a.line}\n  ${stream}, ${lines.length} line(s):\n${shown.join('\n').slice(0, 4000)}`,
    );
  }
  return found;
}

/** Puts the same in the place of what may differ, and of nothing else. */
function sameEverywhere(text: string, here: string): string {
  return (
    text
      // Absolute paths are shown as their system writes them.
      .replaceAll(new RegExp(`${escaped(here)}[^\\s:"']*`, 'g'), (path) =>
        `<here>${path.slice(here.length)}`.replaceAll('\\', '/'),
      )
      // Bytes free on the disk that both share change meanwhile.
      .replaceAll(/"free": \d+/g, '"free": <bytes>')
      .replaceAll(/[\d.]+ ([KMGT]iB|bytes) free/g, '<bytes> free')
  );
}

function escaped(text: string): string {
  return text.replaceAll(/[\\^$.*+?()[\]{}|]/g, '\\$&');
}
