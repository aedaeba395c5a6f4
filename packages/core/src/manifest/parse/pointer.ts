/** Appends a token to a JSON Pointer (RFC 6901). */
export function child(pointer: string, token: string): string {
  if (!/[~/]/.test(token)) return `${pointer}/${token}`;
  return `${pointer}/${token.replaceAll('~', '~0').replaceAll('/', '~1')}`;
}

/** The tokens of a JSON Pointer. */
export function tokens(pointer: string): string[] {
  if (pointer === '') return [];
  return pointer
    .slice(1)
    .split('/')
    .map((token) => token.replaceAll('~1', '/').replaceAll('~0', '~'));
}
