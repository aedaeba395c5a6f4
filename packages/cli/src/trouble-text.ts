import { escapeText, FirmtallyError } from '@firmtally/core';

/** What stopped a command, and what helps where that is known: one or two lines. */
export function troubleText(error: unknown): string {
  const message = error instanceof Error ? error.message : String(error);
  const lines = [`firmtally: ${escapeText(message)}`];
  if (error instanceof FirmtallyError && error.remedy !== null) {
    lines.push(escapeText(error.remedy));
  }
  return `${lines.join('\n')}\n`;
}

/** One line about one path that does not stop the command. */
export function pathMessage(path: string, message: string): string {
  return `firmtally: ${escapeText(path)}: ${escapeText(message)}\n`;
}
