import { FOLD_EXCEPTIONS } from '../generated/case-folding.js';

const exceptions = new Map<string, string>(FOLD_EXCEPTIONS);

/**
 * Simple case folding (statuses C and S of Unicode 17 CaseFolding.txt) after
 * Unicode NFC, so that two names are equal here exactly when they differ in
 * letter case or composition only.
 */
export function foldCase(text: string): string {
  if (ASCII.test(text)) return text.toLowerCase();
  let folded = '';
  for (const character of text.normalize('NFC')) {
    folded += exceptions.get(character) ?? character.toLowerCase();
  }
  return folded;
}

const ASCII = /^[\u0000-\u007f]*$/;
