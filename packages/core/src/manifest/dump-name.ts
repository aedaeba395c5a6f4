import type { Firmware } from './model.js';

/**
 * How people are told which dump a file is; null when saying so adds nothing:
 * the entry has one dump, and its manifest gave that no label.
 */
export function dumpName(firmware: Firmware | undefined, label: string | null): string | null {
  const only = firmware?.dumps.length === 1 ? firmware.dumps[0] : undefined;
  // What the manifest model calls a first dump without a label.
  return label === '#1' && only?.label === label ? null : label;
}
