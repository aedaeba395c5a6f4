/**
 * A Markdown file whose command output is written by running the commands.
 *
 * A block is a comment `<!-- run -->` (or `<!-- run exit=1 -->`, the exit code that is right there)
 * followed by a fenced `console` block. Its lines that start with `$ ` are commands, one after the
 * other; everything between is output and is replaced. A long command goes on over lines that
 * end in a backslash; `$ cd …` holds until the end of its block. `<!-- step: … -->` does what the text tells the reader to do by hand.
 */

export interface RunBlock {
  readonly kind: 'run';
  readonly commands: readonly ShownCommand[];
  /** Exit code of the last command. */
  readonly exit: number;
  /** Where the text between the fences starts and ends, in UTF-16 units. */
  readonly start: number;
  readonly end: number;
  /** Line of the comment, from 1. */
  readonly line: number;
}

export interface Step {
  readonly kind: 'step';
  /** e.g. `remove .demo/card/x.bin`. */
  readonly words: readonly string[];
  readonly line: number;
}

interface ShownCommand {
  /** The lines as they stand in the text, with the `$ `. */
  readonly shown: string;
  readonly words: readonly string[];
}

const MARKER =
  /<!-- (?:run(?: exit=(?<exit>\d))? -->\s*```console\n(?<body>[\s\S]*?)```|step: (?<step>[^\n]*?) -->)/g;

/** Every block and step in order. Throws when a `run` comment has no console block with a command. */
export function parseBlocks(markdown: string): (RunBlock | Step)[] {
  const found = [...markdown.matchAll(MARKER)].map((match): RunBlock | Step => {
    const line = markdown.slice(0, match.index).split('\n').length;
    const { exit, body, step } = match.groups ?? {};
    if (step !== undefined) return { kind: 'step', words: splitWords(step), line };
    const text = body ?? '';
    const commands = parseCommands(text);
    if (commands.length === 0) throw new Error(`line ${line}: the block has no "$ " command`);
    const end = match.index + match[0].length - '```'.length;
    return {
      kind: 'run',
      commands,
      exit: Number(exit ?? 0),
      start: end - text.length,
      end,
      line,
    };
  });
  const comments = markdown.match(/<!-- run\b/g)?.length ?? 0;
  if (comments !== found.filter(({ kind }) => kind === 'run').length) {
    throw new Error('a "<!-- run -->" comment is not followed by a console block');
  }
  return found;
}

function parseCommands(body: string): ShownCommand[] {
  return [...body.matchAll(/^\$ (?:.*\\\n)*.*$/gm)].map(([shown]) => ({
    shown,
    words: splitWords(shown.slice(2).replaceAll('\\\n', ' ')),
  }));
}

/** Words at blanks; quotes, single or double, hold one together. */
export function splitWords(line: string): string[] {
  return [...line.matchAll(/"([^"]*)"|'([^']*)'|(\S+)/g)].map(
    ([, double, single, bare]) => double ?? single ?? bare ?? '',
  );
}

/** The text with each block's content replaced; `contents` goes with the `run` blocks in order. */
export function fillBlocks(
  markdown: string,
  blocks: readonly RunBlock[],
  contents: readonly string[],
): string {
  let filled = '';
  let from = 0;
  blocks.forEach((block, index) => {
    filled += markdown.slice(from, block.start) + (contents[index] ?? '');
    from = block.end;
  });
  return filled + markdown.slice(from);
}
