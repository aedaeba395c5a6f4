import { ALGORITHMS, FirmtallyError, type Algorithm } from '@firmtally/core';
import { nearestName } from '@firmtally/core/internal';

/** Reads `--algorithm md5,sha1`; each name once, in the order of ALGORITHMS. Throws FirmtallyError('usage'). */
export function readAlgorithms(given: readonly string[]): Algorithm[] {
  const names = given.flatMap((list) => list.split(',')).map((name) => name.trim());
  const wanted = new Set(names.map(readAlgorithm));
  return ALGORITHMS.filter((algorithm) => wanted.has(algorithm));
}

function readAlgorithm(name: string): Algorithm {
  const plain = name.toLowerCase().replace('-', '');
  const known = ALGORITHMS.find((algorithm) => algorithm === plain);
  if (known !== undefined) return known;
  const near = nearestName(plain, ALGORITHMS);
  throw new FirmtallyError(
    'usage',
    `--algorithm: "${name}" is not an algorithm`,
    near === null ? `Use some of ${ALGORITHMS.join(', ')}.` : `Did you mean ${near}?`,
  );
}
