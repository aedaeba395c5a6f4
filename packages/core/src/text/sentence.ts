/**
 * A fault's message as a sentence of its own: a capital first and a full stop last.
 *
 * @example
 * sentence('no permission'); // => 'No permission.'
 */
export function sentence(message: string): string {
  const capital = message.charAt(0).toUpperCase() + message.slice(1);
  return /[.!?]$/.test(capital) ? capital : `${capital}.`;
}
