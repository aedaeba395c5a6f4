import {
  recognitionOf,
  type IdentificationDocument,
  type IdentifiedFile,
  type IdentifiedPile,
  type Recognition,
} from './model.js';

/** The identification as data: same input, same bytes. */
export function identificationDocument(pile: IdentifiedPile): IdentificationDocument {
  const count = (wanted: Recognition): number =>
    pile.files.filter((file) => recognitionOf(file) === wanted).length;
  return {
    identification: 1,
    files: pile.files.map((file: IdentifiedFile) => ({
      path: file.path,
      member: file.member,
      size: file.size,
      firmware: file.firmware,
      diagnosis: file.diagnosis?.kind ?? null,
      nearest: file.nearest,
      detail: file.detail,
      advice: file.advice,
    })),
    faults: pile.faults,
    totals: {
      files: pile.files.length,
      recognised: count('recognised'),
      needAttention: count('needs-attention'),
      unrelated: count('unrelated'),
      notExamined: pile.notExamined,
    },
  };
}
