/**
 * What a document is that Firmtally itself wrote as JSON, when it is one and
 * not a manifest: each has its version under a key of its own.
 */
export function ownDocument(value: unknown): string | null {
  if (typeof value !== 'object' || value === null || Object.hasOwn(value, 'firmtally')) return null;
  for (const [kind, others] of Object.entries(KINDS)) {
    if (Object.hasOwn(value, kind) && others.some((key) => Object.hasOwn(value, key))) return kind;
  }
  return null;
}

/** The key of each document's version, and what stands beside it (data-schemas/). */
const KINDS: Readonly<Record<string, readonly string[]>> = {
  report: ['tool', 'systems'],
  plan: ['tool', 'steps'],
  validation: ['tool', 'problems'],
  identification: ['tool', 'files'],
  digest: ['tool', 'files'],
};
