import { FirmtallyError } from '../errors.js';
import { leftOutFor, type LeftOutReason } from '../facts/left-out.js';
import { isSafePath } from '../manifest/safe-path.js';
import { isId } from '../manifest/shape/id.js';
import { foldCase } from '../text/fold.js';
import { compareUtf8 } from '../text/order.js';
import { foldersAbove, joinPath } from '../text/path.js';
import { KnownManifest } from './known-manifest.js';
import { firmwareIds, systemIds } from './make-ids.js';
import { DumpSet, type Added } from './merge-dumps.js';
import type {
  Drafted,
  DraftedFirmware,
  DraftedMember,
  DraftedSystem,
  DraftNote,
  EntryOptions,
  FoundFile,
  LeftOut,
  Origin,
} from './model.js';
import { note, type Note } from './note.js';

/** More labels in one system are hardly those of regions. */
const MAX_REGIONS = 12;

/** What is gathered of one path. */
interface Entry {
  readonly path: string;
  readonly first: Origin;
  readonly dumps: DumpSet<Origin>;
  members: readonly DraftedMember[] | null;
  unlabelled: number;
  /** System key to whether it is optional there. */
  readonly systems: Map<string, boolean>;
}

/** What was found, with everything that has to be said of it so far. */
export interface Findings {
  readonly from: Drafted['from'];
  readonly title: string;
  readonly files: readonly FoundFile[];
  readonly leftOut: readonly LeftOut[];
  readonly notes: readonly DraftNote[];
}

/**
 * Makes entries and systems of what was found: several dumps of one path are
 * one entry; what no manifest can hold beside the rest, and what the given
 * manifest has already, is left out and said so.
 *
 * @throws FirmtallyError('usage') when the folder or the system's id cannot be one
 */
export function assemble(findings: Findings, options: EntryOptions): Drafted {
  checkOptions(options);
  return new Assembly(findings, options).drafted();
}

function checkOptions({ folder, system }: EntryOptions): void {
  if (folder !== undefined && folder !== '.' && !isSafePath(folder)) {
    throw new FirmtallyError(
      'usage',
      `"${folder}" cannot be a manifest\u2019s folder`,
      'Give a relative folder with / between names, such as system/firmware, or . for the root.',
    );
  }
  if (system !== undefined && !isId(system)) {
    throw new FirmtallyError(
      'usage',
      `"${system}" cannot be the id of a system`,
      'An id holds letters and digits, then also . _ + and -, such as osprey-8.',
    );
  }
}

class Assembly {
  readonly #findings: Findings;
  readonly #options: EntryOptions;
  readonly #known: KnownManifest;
  /** The folder in front of every path; '' is the root. */
  readonly #folder: string;
  readonly #entries = new Map<string, Entry>();
  /** Expected paths by their case folding, and a path that needs it by folder. */
  readonly #folded = new Map<string, string>();
  readonly #folders = new Map<string, string>();
  readonly #systemNames = new Map<string, string>();
  readonly #leftOut: LeftOut[];
  readonly #notes: DraftNote[];

  constructor(findings: Findings, options: EntryOptions) {
    this.#findings = findings;
    this.#options = options;
    this.#known = new KnownManifest(options.into ?? null);
    this.#folder = folderText(options.folder) ?? this.#known.folder;
    this.#leftOut = [...findings.leftOut];
    this.#notes = [...findings.notes];
    for (const path of this.#known.paths) this.#claim(path);
  }

  drafted(): Drafted {
    for (const file of this.#findings.files) this.#add(file);
    for (const { dumps, first, path, unlabelled } of this.#entries.values()) {
      if (unlabelled < 2 || dumps.dumps.length < 2) continue;
      const message = `${path} has ${unlabelled} dumps without a label; any one of them will be accepted.`;
      this.#notes.push({ ...first, ...note('unlabelled-dumps', message) });
    }
    const firmware = this.#firmware();
    const systems = this.#systems(firmware);
    const byId = new Map([...firmware].map(([full, one]) => [one.id, { full, ...one }]));
    for (const system of systems) this.#noteLabels(system, byId);
    return {
      from: this.#findings.from,
      title: this.#findings.title,
      folder: this.#options.folder ?? null,
      firmware: [...firmware.values()].filter(({ known, dumps }) => !known || dumps.length > 0),
      systems,
      leftOut: this.#leftOut,
      notes: this.#notes,
    };
  }

  #add(found: FoundFile): void {
    // A folder is never meant twice: such a path starts from the root already.
    const doubled = this.#folder !== '' && found.path.startsWith(`${this.#folder}/`);
    const file = doubled ? { ...found, path: found.path.slice(this.#folder.length + 1) } : found;
    const path = joinPath(this.#folder, file.path);
    let entry = this.#entries.get(path);
    if (entry === undefined) {
      const reason = this.#reasonAgainst(path);
      if (reason !== null) {
        this.#leftOut.push({ ...file.origin, reason });
        return;
      }
      this.#claim(path);
      entry = newEntry(file);
      this.#entries.set(path, entry);
    }
    const problem = this.#addContent(file, path, entry);
    if (problem !== null) {
      this.#leftOut.push({ ...file.origin, reason: problem });
      return;
    }
    const { key, name } = this.#systemOf(file);
    if (!this.#systemNames.has(key)) this.#systemNames.set(key, name);
    // Required by one row is required.
    entry.systems.set(key, file.optional && (entry.systems.get(key) ?? true));
  }

  #systemOf(file: FoundFile): FoundFile['system'] {
    const { system } = this.#options;
    return system === undefined ? file.system : { key: `id ${system}`, name: system };
  }

  /** Gives why it cannot be added. */
  #addContent({ content, origin }: FoundFile, path: string, entry: Entry): LeftOutReason | null {
    if ('members' in content) {
      if (entry.dumps.dumps.length > 0 || entry.members !== null) {
        return leftOutFor('other-content', {});
      }
      const reason = this.#known.reasonAgainstMembers(path, content.members);
      if (reason === null) entry.members = content.members;
      return reason;
    }
    if (entry.members !== null || this.#known.hasMembers(path)) {
      return leftOutFor('judged-by-members', {});
    }
    const { dump } = content;
    const added = entry.dumps.add(dump, origin);
    if (added.kind !== 'known' && dump.label === null) entry.unlabelled++;
    const doubt = doubtOf(added, dump.label);
    if (doubt !== null) this.#notes.push({ ...origin, ...doubt });
    return null;
  }

  /** Whatever stands at the path already, and is not the entry itself. */
  #reasonAgainst(path: string): LeftOutReason | null {
    const twin = this.#folded.get(foldCase(path));
    if (twin !== undefined && twin !== path) {
      return leftOutFor('case-clash', { other: twin });
    }
    const inside = this.#folders.get(path);
    if (inside !== undefined) return leftOutFor('is-folder', { other: inside });
    const file = foldersAbove(path).find((folder) => this.#folded.get(foldCase(folder)) === folder);
    return file === undefined ? null : leftOutFor('in-file', { other: file });
  }

  #claim(path: string): void {
    const folded = foldCase(path);
    if (!this.#folded.has(folded)) this.#folded.set(folded, path);
    for (const folder of foldersAbove(path)) {
      if (!this.#folders.has(folder)) this.#folders.set(folder, path);
    }
  }

  /** Entries by full path, in the order in which they were met. */
  #firmware(): Map<string, DraftedFirmware> {
    const entries = [...this.#entries].filter(
      ([, { dumps, members }]) => dumps.dumps.length > 0 || members !== null,
    );
    const fresh = entries.filter(([path]) => this.#known.idAt(path) === null);
    const ids = firmwareIds(
      fresh.map(([, { path }]) => path),
      this.#known.firmwareIds,
    );
    const idOf = new Map(fresh.map(([path], index) => [path, ids[index] ?? '']));
    // A folder of an entry's own stands in the way of a loadout's, so only where it is needed.
    const own = this.#known.exists && this.#folder !== this.#known.folder;
    return new Map(
      entries.map(([full, { path, dumps, members }]) => {
        const knownId = this.#known.idAt(full);
        const id = knownId ?? idOf.get(full) ?? '';
        return [
          full,
          {
            id,
            path,
            folder: own ? (this.#options.folder ?? null) : null,
            dumps: knownId === null ? dumps.dumps : this.#known.lacking(full, dumps.dumps),
            members: knownId === null ? members : null,
            known: knownId !== null,
          },
        ];
      }),
    );
  }

  #systems(firmware: ReadonlyMap<string, DraftedFirmware>): DraftedSystem[] {
    const named = [...this.#systemNames];
    if (this.#findings.from === 'files') named.sort(([a], [b]) => compareUtf8(a, b));
    const knownIds = named.map(([key, name]) => this.#known.systemNamed(key, name));
    const fresh = named.filter((_, index) => knownIds[index] === null);
    const { system } = this.#options;
    const made =
      system === undefined
        ? systemIds(
            fresh.map(([, name]) => name),
            this.#known.systemIds,
          )
        : fresh.map(() => system);
    const idOf = new Map(fresh.map(([key], index) => [key, made[index] ?? '']));
    const systems = named.map(([key, name], index) => {
      const known = knownIds[index] ?? null;
      return {
        key,
        known,
        id: known ?? idOf.get(key) ?? '',
        name,
        lists: { requires: [] as string[], optional: [] as string[] },
      };
    });
    const byKey = new Map(systems.map((one) => [one.key, one]));
    for (const [full, { id, known }] of firmware) {
      for (const [key, optional] of this.#entries.get(full)?.systems ?? []) {
        const one = byKey.get(key);
        if (one === undefined) continue;
        if (known && !this.#wants(one.known, id, key)) continue;
        one.lists[optional ? 'optional' : 'requires'].push(id);
      }
    }
    return systems
      .filter(({ lists }) => lists.requires.length + lists.optional.length > 0)
      .map(({ id, known, name, lists }) => ({ id, name, ...lists, known: known !== null }));
  }

  /** Files of other names and labels may be regions of one thing, of which a list cannot say that any will do. */
  #noteLabels(
    { name, requires }: DraftedSystem,
    byId: ReadonlyMap<string, DraftedFirmware & { readonly full: string }>,
  ): void {
    const labels = new Map<string, string>();
    let origin: Origin | null = null;
    for (const id of requires) {
      const one = byId.get(id);
      const [dump, ...others] = one?.dumps ?? [];
      if (one === undefined || one.known || others.length > 0) continue;
      if (dump === undefined || dump.label === null) continue;
      origin ??= this.#entries.get(one.full)?.first ?? null;
      labels.set(id, dump.label);
    }
    if (origin === null || labels.size < 2 || labels.size > MAX_REGIONS) return;
    if (new Set(labels.values()).size < labels.size) return;
    const named = [...labels].map(([id, label]) => `${id} (${label})`).join(', ');
    const ids = [...labels.keys()].join(', ');
    const message = `${name} requires each of ${named}; where any one of them will do, write "any-of: [${ids}]" in its place.`;
    this.#notes.push({ ...origin, ...note('labelled-alike', message) });
  }

  /** Whether a system is to name an entry that the manifest has already: only when a system was asked for by name. */
  #wants(knownSystem: string | null, id: string, key: string): boolean {
    if (key.startsWith('folder ')) return false;
    return knownSystem === null || !this.#known.names(knownSystem, id);
  }
}

function newEntry({ path, origin }: FoundFile): Entry {
  return {
    path,
    first: origin,
    dumps: new DumpSet<Origin>(),
    members: null,
    unlabelled: 0,
    systems: new Map(),
  };
}

/** '.' is the root, which is ''. */
function folderText(folder: string | undefined): string | null {
  if (folder === undefined) return null;
  return folder === '.' ? '' : folder;
}

function doubtOf(added: Added<Origin>, label: string | null): Note | null {
  if (added.kind === 'new' || added.kind === 'known') return null;
  const { line, source } = added.other;
  const other = line === null ? source : `line ${line}`;
  return added.kind === 'slip'
    ? note(
        'dump-slip',
        `It shares a checksum with ${other} but differs in the rest, so one of the two has a slip; both are kept.`,
      )
    : note(
        'label-twice',
        `It has the label "${label ?? ''}" of ${other} but another checksum; both are kept.`,
      );
}
