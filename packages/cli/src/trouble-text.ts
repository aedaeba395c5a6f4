import { escapeText, FirmtallyError } from '@firmtally/core';
import type { Context } from './context.js';

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

/** Tells what slows a task down but does not stop it; over the progress line, which comes back by itself. */
export function noticesTo(context: Context): (notice: string) => void {
  const clear = context.interactive ? '\r\u001b[K' : '';
  return (notice) => {
    if (!context.quiet) void context.stderr.write(`${clear}firmtally: ${escapeText(notice)}\n`);
  };
}
