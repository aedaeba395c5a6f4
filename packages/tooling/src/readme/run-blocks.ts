import { spawnSync, type StdioOptions } from 'node:child_process';
import {
  closeSync,
  cpSync,
  mkdtempSync,
  openSync,
  readFileSync,
  rmSync,
  statSync,
  utimesSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { inWorkspace } from '../paths.js';
import { fillBlocks, parseBlocks, type RunBlock, type Step } from './blocks.js';

/** Cells; what a README shows without scrolling sideways. */
const COLUMNS = 80;

/**
 * Runs every block of a Markdown text in order, against a fresh demo in a folder of its own, and
 * gives the text with the real output in place. Throws on an unexpected exit code, and on output
 * that would differ from machine to machine (the folder's own path).
 */
export function fillMarkdown(markdown: string): string {
  const blocks = parseBlocks(markdown);
  const folder = mkdtempSync(join(tmpdir(), 'firmtally-readme-'));
  try {
    cpSync(inWorkspace('examples/demo'), join(folder, 'examples/demo'), { recursive: true });
    cpSync(inWorkspace('data-schemas'), join(folder, 'data-schemas'), { recursive: true });
    const generated = runNode(folder, ['examples/demo/generate.mjs', '.demo']);
    if (generated !== 0) throw new Error('the demo was not generated');
    const contents: string[] = [];
    for (const block of blocks) {
      if (block.kind === 'step') performStep(block, folder);
      else contents.push(runBlock(block, folder));
    }
    const filled = fillBlocks(
      markdown,
      blocks.filter((block) => block.kind === 'run'),
      contents,
    );
    if (filled.includes(folder)) throw new Error(`output names this machine's folder ${folder}`);
    return filled;
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

function runBlock(block: RunBlock, folder: string): string {
  let content = '';
  let cwd = folder;
  block.commands.forEach((command, index) => {
    content += `${command.shown}\n`;
    const [program, ...args] = command.words;
    if (program === 'cd') {
      cwd = join(cwd, args[0] ?? '');
      return;
    }
    if (program !== 'firmtally') throw new Error(`only firmtally is run here: ${command.shown}`);
    const { output, status } = runFirmtally(args, cwd);
    content += output;
    const expected = index === block.commands.length - 1 ? block.exit : 0;
    if (status !== expected) {
      throw new Error(
        `line ${block.line}: exit code ${status}, not ${expected}:\n${command.shown}\n${output}`,
      );
    }
  });
  return content;
}

/** Runs the published bundle; `> file` at the end of the arguments does what a shell does. */
function runFirmtally(
  words: readonly string[],
  cwd: string,
): { output: string; status: number | null } {
  const to = words.indexOf('>');
  const args = to === -1 ? words : words.slice(0, to);
  const file = to === -1 ? undefined : words[to + 1];
  const shown = join(cwd, '.shown');
  // One file for both streams, so that lines stand in the order they were written.
  const both = openSync(shown, 'a');
  const stdout = file === undefined ? both : openSync(join(cwd, file), 'w');
  const cli = inWorkspace('packages/cli/dist/bundle/firmtally.js');
  try {
    const status = runNode(cwd, [cli, ...args], ['ignore', stdout, both]);
    return { output: maskFreeSpace(readFileSync(shown, 'utf8')), status };
  } finally {
    closeSync(both);
    if (stdout !== both) closeSync(stdout);
    rmSync(shown);
  }
}

/** The room left on the disk is the one thing shown that is never the same twice. */
function maskFreeSpace(output: string): string {
  return output.replaceAll(/[\d.]+ [KMGT]?i?B free/g, '… free');
}

/** Runs Node where nothing of this machine shows; gives the exit code. */
function runNode(
  cwd: string,
  args: readonly string[],
  stdio: StdioOptions = 'inherit',
): number | null {
  const { status, error } = spawnSync(process.execPath, args, {
    cwd,
    stdio,
    env: { PATH: process.env['PATH'] ?? '', LANG: 'C.UTF-8', COLUMNS: String(COLUMNS) },
  });
  if (error) throw error;
  return status;
}

/** What the text tells the reader to do without Firmtally, or time does to a card. */
function performStep({ words, line }: Step, folder: string): void {
  const [verb, path = '', offset = ''] = words;
  const target = join(folder, path);
  if (verb === 'remove') {
    statSync(target); // a step that no longer does anything is a mistake
    rmSync(target, { recursive: true });
  } else if (verb === 'flip-bit') {
    flipBit(target, Number(offset));
  } else {
    throw new Error(`line ${line}: unknown step "${words.join(' ')}"`);
  }
}

/** Changes one bit and leaves size and time alone, as a wearing card does. */
function flipBit(file: string, offset: number): void {
  const { atime, mtime } = statSync(file);
  const bytes = readFileSync(file);
  bytes.writeUInt8(bytes.readUInt8(offset) ^ 1, offset);
  writeFileSync(file, bytes);
  utimesSync(file, atime, mtime);
}
