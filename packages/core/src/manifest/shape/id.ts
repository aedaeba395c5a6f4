import type { Finding } from '../rules/problem-list.js';
import { definition } from './schema-at.js';

let compiled: { readonly pattern: RegExp; readonly maxLength: number } | undefined;

/** The form of ids, from the schema. */
function form(): { readonly pattern: RegExp; readonly maxLength: number } {
  if (compiled !== undefined) return compiled;
  const { pattern = '', maxLength = 0 } = definition('id');
  return (compiled = { pattern: new RegExp(pattern, 'u'), maxLength });
}

export function isId(text: string): boolean {
  const { pattern, maxLength } = form();
  return text.length <= maxLength && pattern.test(text);
}

/** What there is to say of a text that is no id. */
export function idFinding(text: string): Finding {
  const suggestion = toId(text);
  return {
    message:
      text.length > form().maxLength
        ? `This id has ${text.length} characters, which is too many.`
        : `"${text}" is not an id.`,
    suggestion,
    advice: definition('id').patternErrorMessage ?? null,
  };
}

/** The nearest text of that form; null when nothing is left of it. */
function toId(text: string): string | null {
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
