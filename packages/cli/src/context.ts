import { styleText } from 'node:util';
import type { Arguments } from './arguments/arguments.js';
import { fileOutput } from './terminal/file-output.js';
import type { Output, ResultOutput } from './terminal/output.js';

/** Everything a command may know about where it runs. Tests give their own. */
export interface Context {
  /** The result: standard output, or the file that --output names. */
  readonly stdout: ResultOutput;
  readonly stderr: Output;
  readonly stdin: AsyncIterable<Uint8Array>;
  readonly cwd: string;
  /** Width of stdout in cells; 80 when it is not a terminal and COLUMNS is not set. */
  readonly columns: number;
  readonly color: boolean;
  /** Only ASCII in what is drawn: `--ascii`, or a locale that is not UTF-8. */
  readonly ascii: boolean;
  readonly quiet: boolean;
  /** Whether stderr is a terminal, so that a progress line may be drawn. */
  readonly interactive: boolean;
}

/** Builds the context from the running process and the options that every command takes; null before they are known. */
export function processContext(given: Arguments | null): Context {
  const file = given?.text('output') ?? null;
  return {
    stdout: file === null ? streamOutput(process.stdout) : fileOutput(file),
    stderr: lenient(fitted(streamOutput(process.stderr), process.stderr)),
    // Node sets the stream up when it is first asked for, which takes 2 ms; few commands read it.
    get stdin() {
      return process.stdin;
    },
    cwd: process.cwd(),
    columns: widthOf(process.stdout),
    color: wantsColor(given, file !== null),
    ascii: given?.flag('ascii') === true || !isUtf8Locale(),
    quiet: given?.flag('quiet') ?? false,
    interactive: process.stderr.isTTY && process.env['TERM'] !== 'dumb',
  };
}

/** What the command line says goes first. NO_COLOR (no-color.org): set to anything but the empty string means no colour. */
function wantsColor(given: Arguments | null, toFile: boolean): boolean {
  if (given?.flag('no-color') === true) return false;
  if (given?.flag('color') === true) return true;
  if (toFile) return false;
  if ((process.env['NO_COLOR'] ?? '') !== '') return false;
  return process.stdout.isTTY && process.env['TERM'] !== 'dumb';
}

function widthOf(stream: NodeJS.WriteStream): number {
  const given = Number(process.env['COLUMNS']);
  if (Number.isInteger(given) && given > 0) return given;
  return stream.isTTY && stream.columns > 0 ? stream.columns : 80;
}

/** POSIX: LC_ALL beats LC_CTYPE beats LANG; unset is the C locale only where a terminal says so, so assume UTF-8 then. */
function isUtf8Locale(): boolean {
  if (process.platform === 'win32') return true;
  const { LC_ALL, LC_CTYPE, LANG } = process.env;
  const locale = [LC_ALL, LC_CTYPE, LANG].find((value) => value !== undefined && value !== '');
  return locale === undefined || /utf-?8/i.test(locale);
}

function streamOutput(stream: NodeJS.WriteStream): ResultOutput {
  // The promise of each write carries its error; without a listener Node would end the process as well.
  if (stream.listenerCount('error') === 0) stream.on('error', () => undefined);
  let begun = false;
  return {
    get begun() {
      return begun;
    },
    write: (text) =>
      new Promise((resolve, reject) => {
        begun = true;
        stream.write(text, (error) => (error ? reject(error) : resolve()));
      }),
    finish: () => Promise.resolve(),
    discard: () => undefined,
  };
}

/** Messages are an extra: where they cannot be written (a full disk, a closed pipe), the result and its exit code still count. */
function lenient(output: Output): Output {
  return { write: (text) => output.write(text).catch(() => undefined) };
}

/** On a terminal, lines that are too long for it break between words; what draws by itself is left alone. */
function fitted(output: Output, { isTTY, columns }: NodeJS.WriteStream): Output {
  if (!isTTY || !(columns > 0)) return output;
  return {
    write: async (text) => {
      const fits = text.split('\n').every((line) => line.length <= columns);

      if (fits || /[\r\u001b]/.test(text)) return output.write(text);
      const { wrapLines } = await import('./terminal/wrap.js');
      return output.write(wrapLines(text, columns));
    },
  };
}

export type Style = Parameters<typeof styleText>[0];

/** Colours text when the context has colour. */
export function paint(context: Context, style: Style, text: string): string {
  // Unless told not to, styleText looks at the stream and the environment again and overrules the context.
  return context.color ? styleText(style, text, { validateStream: false }) : text;
}
