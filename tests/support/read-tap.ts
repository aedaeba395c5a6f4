import { parse } from 'yaml';

interface TestPoint {
  readonly ok: boolean;
  readonly number: number;
  readonly description: string;
  readonly directive: string | null;
  readonly diagnostics: unknown;
}

interface TapDocument {
  readonly plan: number;
  readonly points: readonly TestPoint[];
  readonly comments: readonly string[];
}

/** A strict reader of the part of TAP version 14 (testanything.org/tap-version-14-specification.html) without subtests and pragmas. */
export function readTap(text: string): TapDocument {
  const lines = text.split('\n');
  if (lines.pop() !== '') throw new Error('does not end in a newline');
  if (lines.shift() !== 'TAP version 14') throw new Error('no version line');
  let plan: number | null = null;
  const points: TestPoint[] = [];
  const comments: string[] = [];
  for (let line = lines.shift(); line !== undefined; line = lines.shift()) {
    const planMatch = /^1\.\.(\d+)$/.exec(line);
    const point = /^(not )?ok (\d+) - (.*)$/.exec(line);
    if (line.startsWith('#')) comments.push(line);
    else if (planMatch !== null && plan === null) plan = Number(planMatch[1]);
    else if (point !== null) {
      const [description, directive] = splitDirective(point[3] ?? '');
      const block: string[] = [];
      if (lines[0] === '  ---') {
        lines.shift();
        for (let inner = lines.shift(); inner !== '  ...'; inner = lines.shift()) {
          if (!inner?.startsWith('  ')) throw new Error('a YAML block that is not closed');
          block.push(inner.slice(2));
        }
      }
      points.push({
        ok: point[1] === undefined,
        number: Number(point[2]),
        description,
        directive,
        diagnostics: block.length === 0 ? null : (parse(block.join('\n')) as unknown),
      });
    } else throw new Error(`no TAP line: ${line}`);
  }
  if (plan === null) throw new Error('no plan');
  return { plan, points, comments };
}

/** "A `#` that is not escaped" begins a directive; `\\#` and `\\\\` are the two escapes. */
function splitDirective(text: string): [string, string | null] {
  let description = '';
  for (let at = 0; at < text.length; at++) {
    const character = text[at] ?? '';
    if (character === '\\' && /[\\#]/.test(text[at + 1] ?? '')) description += text[++at] ?? '';
    else if (character === '#') return [description, text.slice(at + 1)];
    else description += character;
  }
  return [description, null];
}
