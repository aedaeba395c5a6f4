import { INTEGER_KEYS } from '../../generated/integer-keys.js';

/** A whole number written in exact decimal digits, as JSON writes it; null for anything else or beyond 2^53 - 1. */
export function plainInteger(text: string): number | null {
  if (!/^(?:0|-?[1-9][0-9]*)$/.test(text)) return null;
  const value = Number(text);
  return Number.isSafeInteger(value) ? value : null;
}

/**
 * What a scalar without quotes means: nothing, a whole number under a key that
 * holds one, else the text that was written, so that digests like `00001234`
 * or `1e100000` survive.
 */
export function plainValue(text: string, key: string | null): string | number | null {
  if (text === '' || text === '~' || text === 'null') return null;
  return key !== null && INTEGER_KEYS.has(key) ? (plainInteger(text) ?? text) : text;
}

/** What a person who wrote something else than decimal digits most likely meant. */
export function intendedInteger(text: string): string | null {
  if (text.length > LONGEST) return null;
  const compact = text.trim().replaceAll(/(?<=[0-9])[_, '](?=[0-9]{3}(?![0-9]))/g, '');
  const unit = /^([0-9]+) ?(k|kb|kib|m|mb|mib|bytes?)?$/i.exec(compact);
  if (unit !== null) {
    const factor = FACTOR[(unit[2] ?? '').charAt(0).toLowerCase()] ?? 1;
    return safe(Number(unit[1]) * factor);
  }
  return /^0x[0-9a-f]+$/i.test(compact) ? safe(Number(compact)) : null;
}

/** Characters beyond which nobody meant a size. */
const LONGEST = 60;

/** Firmware sizes are powers of two: K means 1024 in this trade (common practice, no source). */
const FACTOR: Readonly<Record<string, number>> = { k: 1024, m: 1024 * 1024 };

function safe(value: number): string | null {
  return Number.isSafeInteger(value) ? String(value) : null;
}
