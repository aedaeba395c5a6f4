import { spawnSync } from 'node:child_process';
import {
  cpSync,
  mkdtempSync,
  readFileSync,
  rmSync,
  statSync,
  utimesSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { inWorkspace } from '../paths.js';
import { fillBlocks, parseBlocks, type RunBlock, type ShownCommand, type Step } from './blocks.js';

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
    runNode(folder, ['examples/demo/generate.mjs', '.demo']);
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
  block.commands.forEach((command, index) => {
    const { output, status } = runCommand(command, folder);
    content += `${command.shown}\n${output}`;
    const expected = index === block.commands.length - 1 ? block.exit : 0;
    if (status !== expected) {
      throw new Error(
        `line ${block.line}: exit code ${status}, not ${expected}:\n${command.shown}\n${output}`,
      );
    }
  });
  return content;
}

function runCommand(
  { words, shown }: ShownCommand,
  folder: string,
): { output: string; status: number | null } {
  const [program, ...rest] = words;
  const to = rest.indexOf('>');
  const args = to === -1 ? rest : rest.slice(0, to);
  if (program !== 'firmtally') throw new Error(`only firmtally is run here: ${shown}`);
  const cli = inWorkspace('packages/cli/dist/bundle/firmtally.js');
  const { stdout, stderr, status } = runNode(folder, [cli, ...args]);
  const file = to === -1 ? undefined : rest[to + 1];
  if (file === undefined) return { output: stdout + stderr, status };
  writeFileSync(join(folder, file), stdout);
  return { output: stderr, status };
}

function runNode(
  cwd: string,
  args: readonly string[],
): { stdout: string; stderr: string; status: number | null } {
  const { stdout, stderr, status, error } = spawnSync(process.execPath, args, {
    cwd,
    encoding: 'utf8',
    env: { PATH: process.env['PATH'] ?? '', LANG: 'C.UTF-8', COLUMNS: String(COLUMNS) },
  });
  if (error) throw error;
  return { stdout, stderr, status };
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
