import { readFile, writeFile } from 'node:fs/promises';
import { cpus } from 'node:os';
import { fileURLToPath } from 'node:url';
import { format, resolveConfig } from 'prettier';

/** One measured line. */
export interface Row {
  readonly what: string;
  readonly measured: string;
  /** The bar it is held to, or '' when it is only told. */
  readonly bar: string;
  /** Whether the bar is kept; null when there is none, or a tool it needs is not installed. */
  readonly kept: boolean | null;
}

export interface MeasureInput {
  /** An empty folder to make files in; removed afterwards. */
  readonly folder: string;
  readonly quick: boolean;
}

/** GitHub-flavoured Markdown. */
export function renderTable(rows: readonly Row[]): string {
  const lines = rows.map(
    ({ what, measured, bar, kept }) =>
      `| ${what} | ${measured} | ${bar} | ${kept === null ? '' : kept ? 'yes' : 'NO'} |`,
  );
  return [
    `Measured by \`pnpm run bench\` on Node ${process.versions.node}, ${cpus().length} cores.`,
    '',
    '| what | measured | bar | kept |',
    '| --- | --- | --- | --- |',
    ...lines,
  ].join('\n');
}

const START = '<!-- bench:start -->';
const END = '<!-- bench:end -->';

/** Replaces the table between the marks in docs/measured.md. */
export async function writeMeasured(rows: readonly Row[]): Promise<void> {
  const path = fileURLToPath(new URL('../docs/measured.md', import.meta.url));
  const text = await readFile(path, 'utf8');
  const from = text.indexOf(START);
  const to = text.indexOf(END);
  if (from < 0 || to < from) throw new Error(`docs/measured.md lacks ${START} … ${END}`);
  const table = `${START}\n\n${renderTable(rows)}\n\n`;
  const written = text.slice(0, from) + table + text.slice(to);
  await writeFile(path, await format(written, { ...(await resolveConfig(path)), filepath: path }));
}
