import type fc from 'fast-check';

/** Chooses among styles; a generator of random numbers below `n`. */
export type Choose = (n: number) => number;

/**
 * Writes plain data as YAML in a mixture of styles: block and flow
 * collections, plain and quoted scalars, comments and blank lines. Text that
 * is all letters and digits, digests above all, is often left without quotes.
 */
export function writeYaml(value: unknown, choose: Choose): string {
  return `${block(value, 0, choose)}\n`;
}

function block(value: unknown, indent: number, choose: Choose): string {
  const pad = '\n' + ' '.repeat(indent);
  if (typeof value !== 'object' || value === null || isEmpty(value) || choose(3) === 0) {
    return flow(value, choose);
  }
  const lines = Array.isArray(value)
    ? value.map((item: unknown) => `- ${flow(item, choose)}`)
    : Object.entries(value).map(([key, item]) => {
        const text = block(item, indent + 2, choose);
        const nested = text.startsWith('\n');
        return `${scalar(key, choose)}:${nested ? '' : ' '}${text}`;
      });
  const gap = choose(4) === 0 ? `${pad}# a comment\n` : '';
  return gap + lines.map((line) => pad + line).join('');
}

function flow(value: unknown, choose: Choose): string {
  if (Array.isArray(value)) return `[${value.map((item) => flow(item, choose)).join(', ')}]`;
  if (typeof value === 'object' && value !== null) {
    return `{${Object.entries(value)
      .map(([key, item]) => `${scalar(key, choose)}: ${flow(item, choose)}`)
      .join(', ')}}`;
  }
  return typeof value === 'number' ? String(value) : scalar(String(value), choose);
}

function scalar(text: string, choose: Choose): string {
  const plain = /^[A-Za-z0-9][A-Za-z0-9._/-]*$/.test(text) && text !== 'null';
  const style = choose(3);
  if (style === 0 && plain) return text;
  if (style === 1 && /^[\x20-\x7e]*$/.test(text)) return `'${text.replaceAll("'", "''")}'`;
  return JSON.stringify(text);
}

function isEmpty(value: object): boolean {
  return Object.keys(value).length === 0;
}

/** A {@link Choose} that follows a list of random numbers. */
export function chooser(numbers: fc.Stream<number>): Choose {
  return (n) => (numbers.next().value as number) % n;
}
