import { ALGORITHMS, type StreamDigests } from '../../bytes/digests.js';
import { fact } from '../../facts/fact.js';
import type { ComparedValue, WrittenAt } from '../../facts/fact-values.js';
import type { Dump } from '../../manifest/model.js';
import { algorithmsOf } from '../../recognise/dumps.js';
import type { ListSlip } from '../diagnosis.js';
import type { Detector } from '../subject.js';

export const listSlip: Detector = {
  name: 'list-slip',
  description: 'The file has some of the values that the manifest gives of a dump, and not others.',
  detect: async (subject) => {
    const { dumps, id } = subject.firmware;
    if (!dumps.some(mayContradict)) return null;
    const found = await subject.digests(algorithmsOf(dumps));
    return found === null ? null : slipOf(id, found, dumps);
  },
};

/** One value alone cannot disagree with another. */
function mayContradict(dump: Dump): boolean {
  return algorithmsOf([dump]).length + (dump.size === null ? 0 : 1) > 1;
}

/** The dump with the most values in common, of those that agree in a digest and differ in something. */
function slipOf(firmware: string, found: StreamDigests, dumps: readonly Dump[]): ListSlip | null {
  let best: { dump: Dump; agrees: ComparedValue[]; differs: ComparedValue[] } | null = null;
  for (const dump of dumps) {
    const values = compare(found, dump);
    const agrees = values.filter((each) => each.manifest === each.file);
    const differs = values.filter((each) => each.manifest !== each.file);
    if (differs.length === 0 || !isEnough(agrees)) continue;
    if (best === null || agrees.length > best.agrees.length) best = { dump, agrees, differs };
  }
  if (best === null) return null;
  const { dump, agrees, differs } = best;
  const slip = fact('list-slip', {
    dump: dump.label,
    agrees,
    differs,
    location: locationOf(dump),
  });
  const base = { kind: 'list-slip', proven: true, remedy: null } as const;
  return { ...base, firmware, dump: dump.label, facts: [slip] };
}

/** A CRC-32 is met by chance too easily to count without an equal size. */
function isEnough(agrees: readonly ComparedValue[]): boolean {
  const digests = agrees.filter(({ value }) => value !== 'size');
  if (digests.length === 0) return false;
  return digests.some(({ value }) => value !== 'crc32') || agrees.length > digests.length;
}

function compare({ size, digests }: StreamDigests, dump: Dump): ComparedValue[] {
  const values: ComparedValue[] = [];
  if (dump.size !== null) {
    values.push({ value: 'size', manifest: String(dump.size), file: String(size) });
  }
  for (const value of ALGORITHMS) {
    const manifest = dump.digests[value];
    const file = digests[value];
    if (manifest !== undefined && file !== undefined) values.push({ value, manifest, file });
  }
  return values;
}

function locationOf({ location }: Dump): WrittenAt {
  const { file, line, column } = location;
  return { file, line, column };
}
