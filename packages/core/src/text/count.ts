/** `1 file`, `2 files`. */
export function count(number: number, one: string, many = `${one}s`): string {
  return `${String(number)} ${number === 1 ? one : many}`;
}

const UNITS = ['B', 'KiB', 'MiB', 'GiB', 'TiB', 'PiB'] as const;

/** A number of bytes for people: `512 B`, `1.5 GiB` (binary units of IEC 80000-13). */
export function byteCount(bytes: number): string {
  let value = bytes;
  let unit = 0;
  // What would be written as 1024.0 is one of the next unit.
  while (value >= (unit === 0 ? 1024 : 1023.95) && unit < UNITS.length - 1) {
    value /= 1024;
    unit += 1;
  }
  return `${unit === 0 ? String(value) : value.toFixed(1)} ${UNITS[unit] ?? ''}`;
}
