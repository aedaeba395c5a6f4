import { ProgressCount } from '../bytes/progress.js';
import type { Entry, Fault, PileSource } from '../bytes/source.js';
import { addTo } from '../collections.js';
import { adviceForDiagnosis } from '../diagnose/advice.js';
import { checkedPile, checkedPlatform } from '../digest/checked.js';
import { advice } from '../facts/advice.js';
import { fact } from '../facts/fact.js';
import { manifestOf, type ManifestTaskOptions } from '../manifest/manifest-of.js';
import type { Manifest } from '../manifest/model.js';
import { systemsByFirmware } from '../manifest/users.js';
import type { ContainerStep } from '../recognise/containers.js';
import { KnownDumps } from '../recognise/known-dumps.js';
import type { Found, SourceFault } from '../recognise/found.js';
import { searchSources } from '../recognise/search.js';
import { compareUtf8, sortedBy } from '../text/order.js';
import { TOOL } from '../version.js';
import { examineFound, type Examination, type Examined } from './examine.js';
import { PILE_LIMITS } from './limits.js';
import { listPile, shownPath } from './list-pile.js';
import {
  recognitionOf,
  type Identification,
  type IdentificationDocument,
  type RecognisedAs,
  type Recognition,
} from './model.js';

/** The manifests whose dumps are sought by {@link identify}, and what the document says of itself. */
export interface IdentifyOptions extends ManifestTaskOptions {
  /** Written into the document; this library's own name and version when not given. */
  readonly tool?: { readonly name: string; readonly version: string } | undefined;
}

/**
 * Tells what each file of a pile is: first by digests, in ZIP and gzip files
 * two levels deep too, then what is left by undoing damage. Only what can
 * matter by size or name is read, of the rest the first bytes;
 * `RECOGNISE_LIMITS` and {@link PILE_LIMITS} state the bounds. Links inside
 * folders are passed over, as what they lead to is met where it lies.
 *
 * @throws FirmtallyError `manifest-invalid`, `source-invalid`, `engine-invalid`, `archives-invalid`; what
 *   listing a source throws; the signal's reason; what a callback throws
 * @example
 * const platform = { engine: hashWasmEngine, archives: null };
 * const sources = [{ name: 'pile', kind: 'folder', folder: pile }] as const;
 * const { files } = await identify(sources, { manifests: manifest, platform });
 * files.map(({ path, firmware }) => [path, firmware[0]?.id]); // => [['pile/some.dat', 'osprey-font']]
 */
export async function identify(
  sources: readonly PileSource[],
  options: IdentifyOptions,
): Promise<IdentificationDocument> {
  const { signal, jobs } = options;
  signal?.throwIfAborted();
  const platform = checkedPlatform(options.platform, signal);
  const manifest = await manifestOf(options.manifests, platform.engine);
  const count = new ProgressCount(options.onProgress);
  count.start('list');
  const checked = checkedPile(sources, signal);
  const pile = await listPile(checked, signal, count);
  const entries = new Map<PileSource, Entry[]>();
  for (const { source, entry } of pile.files) addTo(entries, source, entry);
  const known = new KnownDumps(manifest.firmware.values());
  count.start('read');
  const search = await searchSources({
    sources: checked.map((source) => ({
      name: source.name,
      entries: entries.get(source) ?? [],
      content: source.folder,
    })),
    known,
    platform,
    signal,
    jobs,
    count,
  });
  const examination = await examineFound({
    found: search.found,
    firmware: manifest.firmware.values(),
    known,
    platform,
    signal,
    count,
  });
  const rows = new Rows(checked, manifest, examination);
  for (const file of byFile(search.found)) rows.addFile(file);
  const faults = [
    ...pile.faults,
    ...[...search.faults, ...examination.faults].map((each) => rows.fault(each)),
    ...rows.faults,
  ];
  const tool = options.tool ?? TOOL;
  return documentOf(tool, rows.sorted(), sortFaults(faults), examination.notExamined);
}

function documentOf(
  tool: IdentificationDocument['tool'],
  files: readonly Identification[],
  faults: readonly Fault[],
  notExamined: number,
): IdentificationDocument {
  const count = (wanted: Recognition): number =>
    files.filter((file) => recognitionOf(file) === wanted).length;
  return {
    identification: 1,
    tool: { name: tool.name, version: tool.version },
    files,
    faults,
    totals: {
      files: files.length,
      recognised: count('recognised'),
      needAttention: count('needs-attention'),
      unrelated: count('unrelated'),
      notExamined,
    },
  };
}

/** What was found in each file, the file itself first. */
function byFile(found: readonly Found[]): Iterable<readonly Found[]> {
  const files = new Map<Found['source'], Map<Entry, Found[]>>();
  for (const each of found) {
    const ofSource = files.get(each.source) ?? new Map<Entry, Found[]>();
    addTo(ofSource, each.entry, each);
    files.set(each.source, ofSource);
  }
  return [...files.values()].flatMap((ofSource) => [...ofSource.values()]);
}

/** Chooses what is worth a row, and says what each is. */
class Rows {
  readonly faults: Fault[] = [];
  readonly #rows: Identification[] = [];
  readonly #sources: ReadonlyMap<string | null, PileSource>;
  readonly #examined: ReadonlyMap<Found, Examined>;
  readonly #systems: ReadonlyMap<string, readonly string[]>;
  #membersLeft: number = PILE_LIMITS.listedMembers;

  constructor(sources: readonly PileSource[], manifest: Manifest, { examined }: Examination) {
    this.#sources = new Map(sources.map((source) => [source.name, source]));
    this.#examined = examined;
    this.#systems = systemsByFirmware(manifest.systems.values());
  }

  sorted(): Identification[] {
    const way = new Map(this.#rows.map((row) => [row, row.inside.map(keyOf).join('\0')]));
    return this.#rows.sort(
      (a, b) => compareUtf8(a.path, b.path) || compareUtf8(way.get(a) ?? '', way.get(b) ?? ''),
    );
  }

  fault({ source, path, code, message }: SourceFault): Fault {
    return { path: this.#shown(source, path), code, message };
  }

  addFile(file: readonly Found[]): void {
    const [whole] = file;
    if (whole === undefined) return;
    const before = this.#rows.length;
    const unlisted = this.#addTree(file);
    // What was not looked at is said of the file, which may have no row of its own.
    const first = this.#rows[before];
    if (whole.facts.length > 0 && first?.inside.length !== 0) this.#add(whole);
    if (unlisted === 0) return;
    const message = `${String(unlisted)} unrelated members are not listed: there are too many.`;
    const path = this.#shown(whole.origin.source, whole.entry.path);
    this.faults.push({ path, code: 'limit-exceeded', message });
  }

  /** Rows for a container and what is inside it, which follows it; how many unrelated members were one too many. */
  #addTree([top, ...inside]: readonly Found[]): number {
    if (top === undefined || top.unread) return 0;
    const related = inside.filter((each) => this.#isRelated(each));
    const isItself = top.matches.length + top.zipFor.length > 0 || this.#examined.has(top);
    if (isItself || related.length === 0) {
      this.#add(top);
      // Where the file itself is named, what it holds adds nothing but what that can be used for.
      for (const each of related) if (isUsable(each)) this.#add(each);
      return 0;
    }
    let unlisted = 0;
    for (const child of childrenOf(top, inside)) unlisted += this.#addMember(child);
    return unlisted;
  }

  #addMember(tree: readonly Found[]): number {
    if (tree.length > 1) return this.#addTree(tree);
    const [member] = tree;
    if (member === undefined || member.unread) return 0;
    if (!this.#isRelated(member) && this.#membersLeft-- <= 0) return 1;
    this.#add(member);
    return 0;
  }

  #isRelated(found: Found): boolean {
    return isUsable(found) || found.memberOf.length > 0 || this.#examined.has(found);
  }

  #add(found: Found): void {
    const { origin, entry, size, digests } = found;
    this.#rows.push({
      path: this.#shown(origin.source, entry.path),
      inside: origin.inside,
      size,
      digests,
      ...this.#about(found),
    });
  }

  #about(
    found: Found,
  ): Pick<Identification, 'firmware' | 'diagnosis' | 'nearest' | 'facts' | 'advice'> {
    const { matches, zipFor, facts } = found;
    const nothing = { firmware: [], diagnosis: null, nearest: null, facts, advice: null };
    if (isUsable(found)) {
      const as = [
        ...matches.map(({ firmware, dump }) => this.#recognisedAs(firmware.id, dump.label)),
        ...zipFor.map(({ id }) => this.#recognisedAs(id, null)),
      ];
      return { ...nothing, firmware: sortedBy(as, ({ id }) => id) };
    }
    const [loose] = found.memberOf;
    if (loose !== undefined) {
      const firmware = loose.firmware.id;
      return {
        ...nothing,
        nearest: firmware,
        facts: [fact('loose-member', { firmware, member: loose.member.path }), ...facts],
        advice: advice('put-into-zip', { firmware }),
      };
    }
    const examined = this.#examined.get(found);
    if (examined === undefined) return nothing;
    const { firmware, diagnosis } = examined;
    const { id } = firmware;
    if (diagnosis === null) {
      return {
        ...nothing,
        nearest: id,
        facts: [fact('name-only', { firmware: id }), ...facts],
        advice: advice('add-digest', { firmware: id }),
      };
    }
    // A file in a pile belongs to nothing yet, so that it is unknown need not mean that anything is wrong with it.
    const isUnexplained = diagnosis.kind === 'unknown' && firmware.members === null;
    return {
      firmware: [],
      diagnosis: diagnosis.kind,
      nearest: id,
      facts: [...diagnosis.facts, ...facts],
      advice: isUnexplained
        ? advice('look-for-revision', {})
        : adviceForDiagnosis(diagnosis, firmware),
    };
  }

  #recognisedAs(id: string, dump: string | null): RecognisedAs {
    return { id, dump, systems: this.#systems.get(id) ?? [] };
  }

  #shown(source: string | null, path: string): string {
    const named = this.#sources.get(source);
    return named === undefined ? path : shownPath(named, path);
  }
}

/** Whether it can be placed as it stands. */
function isUsable({ matches, zipFor }: Found): boolean {
  return matches.length + zipFor.length > 0;
}

/** What lies directly in a container, each with what is inside it. */
function childrenOf(top: Found, inside: readonly Found[]): Found[][] {
  const depth = top.origin.inside.length + 1;
  const children: Found[][] = [];
  for (const each of inside) {
    const last = children.at(-1);
    if (each.origin.inside.length === depth || last === undefined) children.push([each]);
    else last.push(each);
  }
  return children;
}

function keyOf(step: ContainerStep): string {
  return step.kind === 'gunzip' ? '' : `${step.member}\0${String(step.index).padStart(6, '0')}`;
}

function sortFaults(faults: readonly Fault[]): Fault[] {
  return [...faults].sort(
    (a, b) => compareUtf8(a.path, b.path) || compareUtf8(a.message, b.message),
  );
}
