const UNITS = ['bytes', 'KiB', 'MiB', 'GiB', 'TiB'] as const;

/** `1.5 MiB`: units of 1024 (IEC 80000-13). */
export function byteCount(bytes: number): string {
  let value = bytes;
  let unit = 0;
  while (value >= 1024 && unit < UNITS.length - 1) {
    value /= 1024;
    unit += 1;
  }
  return `${unit === 0 ? String(value) : value.toFixed(1)} ${UNITS[unit] ?? ''}`;
}
