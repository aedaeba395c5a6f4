import { fact } from '../../facts/fact.js';
import { restored, type DamageDetector } from '../subject.js';

/** Header sizes in bytes tried where the sizes do not give one. Common practice, no source. */
const COMMON_HEADERS = [16, 32, 64, 128, 256, 512, 1024, 2048, 4096];

export const extraHeader: DamageDetector = {
  name: 'extra-header',
  description: 'Bytes stand before the dump, as added by copiers or download tools.',
  detect: async (subject) => {
    const ranges = candidateRanges(subject.size, subject.prover.sizes, subject.prover.anySize);
    if (ranges.length === 0) return null;
    const bytes = await subject.whole();
    if (bytes === null) return null;
    for (const { start, end } of ranges) {
      const dump = await subject.prover.prove(bytes.subarray(start, end));
      if (dump === null) continue;
      const after = bytes.length - end;
      return restored(
        subject,
        'extra-header',
        dump,
        { kind: 'slice', start, end },
        fact('bytes-before', { bytes: start }),
        ...(after > 0 ? [fact('bytes-after', { bytes: after })] : []),
      );
    }
    return null;
  },
};

interface Range {
  readonly start: number;
  readonly end: number;
}

/** First what the sizes say exactly, then common headers with something after the dump. */
function candidateRanges(size: number, sizes: readonly number[], anySize: boolean): Range[] {
  const exact: Range[] = [];
  const both: Range[] = [];
  for (const each of sizes) {
    if (each <= 0 || each >= size) continue;
    exact.push({ start: size - each, end: size });
    for (const header of COMMON_HEADERS) {
      if (header + each < size) both.push({ start: header, end: header + each });
    }
  }
  if (anySize) {
    for (const header of COMMON_HEADERS)
      if (header < size) exact.push({ start: header, end: size });
  }
  return [...exact, ...both];
}
