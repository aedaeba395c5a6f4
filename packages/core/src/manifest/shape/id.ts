import { schemaText } from '../../schemas.js';

interface IdSchema {
  readonly pattern: string;
  readonly maxLength: number;
}

let compiled: { readonly pattern: RegExp; readonly maxLength: number } | undefined;

/** The form of ids, from the schema. */
function form(): { readonly pattern: RegExp; readonly maxLength: number } {
  if (compiled !== undefined) return compiled;
  const schema = JSON.parse(schemaText('manifest')) as {
    readonly $defs: { readonly id: IdSchema };
  };
  const { pattern, maxLength } = schema.$defs.id;
  return (compiled = { pattern: new RegExp(pattern, 'u'), maxLength });
}

export function isId(text: string): boolean {
  const { pattern, maxLength } = form();
  return text.length <= maxLength && pattern.test(text);
}

/** The nearest text of that form; null when nothing is left of it. */
export function toId(text: string): string | null {
  // What is too long is not cut to a name.
  if (text.length > form().maxLength) return null;
  let candidate = '';
  for (const character of text.trim()) {
    // Whatever may stand first may stand anywhere, and some more later.
    if (isId(candidate + character)) candidate += character;
    else if (candidate !== '' && !candidate.endsWith('-')) candidate += '-';
  }
  while (candidate.endsWith('-')) candidate = candidate.slice(0, -1);
  return candidate !== text && isId(candidate) ? candidate : null;
}
