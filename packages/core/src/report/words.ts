import type { Verdict } from '../judge/verdict.js';
import type { DiagnosisKind } from '../diagnose/diagnosis.js';

/** How a verdict is written for people: as it is, but a mismatch by what was diagnosed. */
export function verdictWords(verdict: Verdict, diagnosis: DiagnosisKind | null): string {
  if (verdict !== 'mismatch' || diagnosis === null || diagnosis === 'unknown') return verdict;
  return `mismatch: ${diagnosis}`;
}

/** `1 file`, `2 files`. */
export function count(number: number, one: string, many = `${one}s`): string {
  return `${String(number)} ${number === 1 ? one : many}`;
}

/** `1 of 5 systems is ready`, `0 of 1 system is ready`. */
export function readySystems(ready: number, all: number): string {
  const verb = ready === 1 || all === 1 ? 'is' : 'are';
  return `${String(ready)} of ${count(all, 'system')} ${verb} ready`;
}

/** Said at the foot of what is passed on to other people. */
export const CAUTIONS: readonly string[] = [
  'The wrong firmware can stop a device from starting: keep a backup of the card.',
  'Firmware is usually copyrighted: use dumps you are entitled to and follow local law.',
  'MD5, SHA-1 and CRC32 detect accidents, not tampering.',
];
