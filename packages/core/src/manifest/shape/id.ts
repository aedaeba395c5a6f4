/** The form of ids in data-schemas/manifest.schema.json. */
export function isId(text: string): boolean {
  return text.length <= MAX_LENGTH && /^[\p{L}\p{N}][\p{L}\p{N}._+-]*$/u.test(text);
}

const MAX_LENGTH = 100;

/** The nearest text of that form; null when nothing is left of it. */
export function toId(text: string): string | null {
  // Nothing that long is cut down to a name.
  if (text.length > 2 * MAX_LENGTH) return null;
  const candidate = text
    .trim()
    .replaceAll(/[^\p{L}\p{N}._+-]+/gu, '-')
    .replace(/^[^\p{L}\p{N}]+/u, '')
    .replace(/-+$/, '');
  return candidate !== text && isId(candidate) ? candidate : null;
}
