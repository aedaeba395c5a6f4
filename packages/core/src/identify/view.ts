import type { Fault } from '../bytes/source.js';
import { addTo } from '../collections.js';
import { dumpName } from '../manifest/dump-name.js';
import { isSizeOnly, type Firmware, type Manifest } from '../manifest/model.js';
import { placeInside } from '../recognise/origin.js';
import { count } from '../text/count.js';
import {
  recognitionOf,
  type Identification,
  type IdentificationDocument,
  type Recognition,
} from './model.js';

/** Files of which the same is to be said. Texts are untrusted still. */
export interface PileRow {
  /** Where they are, the way into ZIP and gzip files included; one at least. */
  readonly places: readonly string[];
  /** What they are, one line for each entry: `osprey-boot (revision B), for Osprey 8`. */
  readonly what: readonly string[];
  readonly facts: readonly string[];
  /** What to do; null when there is nothing to do. */
  readonly advice: string | null;
  /** Where something lies that satisfies the same entry; null when that need not be said. */
  readonly right: string | null;
}

/**
 * `attention`: has to do with an entry that nothing here satisfies. `spare`:
 * the same, but something else here satisfies it, so that nothing need be done.
 */
export type PileSectionId = 'attention' | 'recognised' | 'spare' | 'others' | 'faults';

/** One part of what is said of a pile. */
export interface PileSection {
  readonly id: PileSectionId;
  readonly title: string;
  readonly rows: readonly PileRow[];
}

/**
 * What every surface shows of a pile, before any of them lays it out: chosen,
 * ordered and worded once, so that no two can disagree. Texts are untrusted still.
 */
export interface PileView {
  /** `15 files: 7 recognised, 4 need attention, 4 not in the manifest.` */
  readonly summary: string;
  /** What of the manifest is here, what of the pile is not needed, and what was left out; one sentence each. */
  readonly outcome: readonly string[];
  /** Those that have rows, in the order of what has to be looked at first. */
  readonly sections: readonly PileSection[];
  /** Whether something here can be put where it belongs, with damage undone or as it is. */
  readonly placing: 'nothing' | 'as-is' | 'with-repair';
}

/**
 * Chooses and words what an identification says to people.
 *
 * @example
 * const platform = { engine: hashWasmEngine, archives: null };
 * const sources = [{ name: 'pile', kind: 'folder', folder: pile }] as const;
 * const document = await identify(sources, { manifests: manifest, platform });
 * pileViewOf(document, manifest).placing; // => 'as-is'
 */
export function pileViewOf(document: IdentificationDocument, manifest: Manifest): PileView {
  const kinds = new Map<Recognition, Identification[]>();
  for (const file of document.files) addTo(kinds, recognitionOf(file), file);
  const recognised = kinds.get('recognised') ?? [];
  const open = kinds.get('needs-attention') ?? [];
  const right = firstOfEach(recognised);
  const isSpare = ({ nearest }: Identification): boolean => nearest !== null && right.has(nearest);
  const attention = open.filter((file) => !isSpare(file));
  const spare = open.filter(isSpare);
  const others = kinds.get('unrelated') ?? [];
  const sections: readonly PileSection[] = [
    { id: 'attention', title: 'Needs attention', rows: together(attention, attentionRow) },
    {
      id: 'recognised',
      title: 'Recognised',
      rows: together(recognised, (file) => recognisedRow(file, manifest)),
    },
    {
      id: 'spare',
      title: 'Not needed, as the right ones are here too',
      rows: together(spare, (file) => spareRow(file, right)),
    },
    { id: 'others', title: 'Not in the manifest', rows: others.map(otherRow) },
    { id: 'faults', title: 'Could not be read', rows: document.faults.map(faultRow) },
  ];
  const mendable = mendableIn(attention, manifest);
  // The card may have the other members.
  const packs = attention.some(({ advice }) => advice?.code === 'put-into-zip');
  return {
    summary: summaryOf(document, spare.length),
    outcome: [
      ...(document.files.length === 0 ? [] : [hereText(right.size, mendable, manifest)]),
      ...notNeeded(recognised.length - distinct(recognised), spare.length),
      ...unexamined(document),
    ],
    sections: sections.filter(({ rows }) => rows.length > 0),
    placing:
      mendable.repaired.size > 0
        ? 'with-repair'
        : recognised.length > 0 || packs
          ? 'as-is'
          : 'nothing',
  };
}

/** As the sections below it count. */
function summaryOf({ files, totals, faults }: IdentificationDocument, spare: number): string {
  const unread = faults.length === 0 ? '' : ` ${count(faults.length, 'path')} could not be read.`;
  if (files.length === 0) return `There are no files to look at.${unread}`;
  const inside = files.some((file) => file.inside.length > 0);
  const attention = totals.needAttention - spare;
  const parts = [
    `${String(totals.recognised)} recognised`,
    `${String(attention)} ${attention === 1 ? 'needs' : 'need'} attention`,
    ...(spare === 0 ? [] : [`${String(spare)} not needed`]),
    `${String(totals.unrelated)} not in the manifest`,
  ];
  const what = `${count(totals.files, 'file')}${inside ? ', with those inside others' : ''}`;
  return `${what}: ${parts.join(', ')}.${unread}`;
}

/** `Firmware here: 7 of the manifest's 25, 2 more once repaired.` */
function hereText(right: number, { repaired, packed }: Mendable, { firmware }: Manifest): string {
  const all = firmware.size;
  const how = [...(repaired.size > 0 ? ['repaired'] : []), ...(packed.size > 0 ? ['packed'] : [])];
  const mends = new Set([...repaired, ...packed]).size;
  const more = mends === 0 ? '' : `, ${String(mends)} more once ${how.join(' or ')}`;
  const unprovable = [...firmware.values()].filter(provesNothing).length;
  const without =
    unprovable === 0
      ? ''
      : `; ${String(unprovable)} ${unprovable === 1 ? 'has' : 'have'} no checksum to be found by`;
  return `Firmware here: ${right === 0 ? 'none' : String(right)} of the manifest's ${String(all)}${more}${without}.`;
}

function provesNothing({ dumps, members }: Firmware): boolean {
  return members === null && dumps.every(isSizeOnly);
}

function notNeeded(copies: number, spare: number): string[] {
  const further = copies === 0 ? [] : [count(copies, 'further copy', 'further copies')];
  const others =
    spare === 0
      ? []
      : [
          `${copies === 0 ? count(spare, 'file') : count(spare, 'other')}, as the right ones are here too`,
        ];
  const parts = [...further, ...others];
  return parts.length === 0 ? [] : [`Not needed: ${parts.join('; ')}.`];
}

function unexamined({ totals: { notExamined } }: IdentificationDocument): string[] {
  if (notExamined === 0) return [];
  return [
    `${count(notExamined, 'more file')} could by size be damaged dumps, but there are too many to examine; name fewer.`,
  ];
}

/** The first file that satisfies each entry. */
function firstOfEach(recognised: readonly Identification[]): ReadonlyMap<string, Identification> {
  const first = new Map<string, Identification>();
  for (const file of recognised) {
    for (const { id } of file.firmware) if (!first.has(id)) first.set(id, file);
  }
  return first;
}

/** How many different things these are: one dump lies about more than once. */
function distinct(recognised: readonly Identification[]): number {
  return new Set(recognised.map(({ firmware }) => JSON.stringify(firmware))).size;
}

/** Ids of entries that nothing here satisfies as it is. */
interface Mendable {
  /** Of which damage can be undone. */
  readonly repaired: ReadonlySet<string>;
  /** ZIPs whose members are all here. */
  readonly packed: ReadonlySet<string>;
}

function mendableIn(open: readonly Identification[], { firmware }: Manifest): Mendable {
  const repaired = new Set<string>();
  const members = new Map<string, Set<string>>();
  for (const { nearest, advice, facts } of open) {
    if (nearest === null) continue;
    if (advice?.code === 'repair') repaired.add(nearest);
    for (const fact of facts) {
      if (fact.code !== 'loose-member') continue;
      members.set(nearest, (members.get(nearest) ?? new Set()).add(fact.member));
    }
  }
  const packed = new Set(
    [...members].flatMap(([id, found]) => {
      const wanted = firmware.get(id)?.members ?? [];
      return wanted.every(({ path }) => found.has(path)) ? [id] : [];
    }),
  );
  return { repaired, packed };
}

type About = Omit<PileRow, 'places'>;

/** One row for all of which the same is said, in the order of the first. */
function together(
  files: readonly Identification[],
  about: (file: Identification) => About,
): PileRow[] {
  const rows = new Map<string, About & { readonly places: string[] }>();
  for (const file of files) {
    const row = about(file);
    const key = JSON.stringify(row);
    const known = rows.get(key);
    if (known === undefined) rows.set(key, { places: [placeOf(file)], ...row });
    else known.places.push(placeOf(file));
  }
  return [...rows.values()];
}

function recognisedRow(file: Identification, manifest: Manifest): About {
  const what = file.firmware.map(({ id, dump, systems }) => {
    const name = dumpName(manifest.firmware.get(id), dump);
    const which = name === null ? id : `${id} (${name})`;
    const named = dump === null ? `${id}, by its members` : which;
    const names = systems.map((system) => manifest.systems.get(system)?.name ?? system);
    return names.length === 0 ? named : `${named}, for ${names.join(', ')}`;
  });
  return { what, facts: factsOf(file), advice: null, right: null };
}

function attentionRow(file: Identification): About {
  return {
    what: [diagnosed(file)],
    facts: factsOf(file),
    advice: file.advice?.text ?? null,
    right: null,
  };
}

function spareRow(file: Identification, right: ReadonlyMap<string, Identification>): About {
  const instead = right.get(file.nearest ?? '');
  return {
    what: [diagnosed(file)],
    facts: factsOf(file),
    advice: null,
    right: instead === undefined ? null : placeOf(instead),
  };
}

function otherRow(file: Identification): PileRow {
  return { places: [placeOf(file)], what: [], facts: factsOf(file), advice: null, right: null };
}

function faultRow({ path, message }: Fault): PileRow {
  return { places: [path], what: [], facts: [message], advice: null, right: null };
}

function diagnosed({ nearest, diagnosis }: Identification): string {
  return diagnosis === null ? (nearest ?? '') : `${nearest ?? ''}: ${diagnosis}`;
}

function factsOf({ facts }: Identification): string[] {
  return facts.map(({ text }) => text);
}

function placeOf({ path, inside }: Identification): string {
  return placeInside(path, inside);
}
