import { isMap, isScalar, isSeq, parseAllDocuments, type Document, type YAMLMap } from 'yaml';
import type { DigestEngine } from '../../digest/engine.js';
import { FirmtallyError } from '../../errors.js';
import type { Manifest } from '../../manifest/model.js';
import { decodeText } from '../../manifest/parse/decode.js';
import { jsonValue } from '../../manifest/parse/json-value.js';
import { readManifests, type ManifestFile } from '../../manifest/read-manifests.js';
import type { Drafted, DraftedFirmware, DraftedSystem } from '../model.js';
import { dumpContent, firmwareContent, systemContent } from '../render-draft.js';
import { CannotGrow, Grower, type Content } from './grow.js';
import { firstLoss } from './losses.js';
import { TextEdits } from './text-edits.js';

/**
 * The text of a manifest with drafted entries added: everything in it stays
 * as it is, character by character, but for the lines that grow. New entries and
 * systems go after the last ones, dumps after those of their entry. What comes
 * of it is read again: it is a valid manifest that says all it said before.
 *
 * @param file the manifest as it is; a byte order mark stays when it is UTF-8
 * @param before what it says
 * @param drafted drafted with `into` this manifest
 * @throws FirmtallyError('manifest-invalid') when the result would not be
 * valid, or when the manifest is written in a way that cannot be added to
 */
export async function addToManifest(
  file: ManifestFile,
  before: Manifest,
  drafted: Drafted,
  engine?: DigestEngine,
): Promise<string> {
  const text = decodeText(file.bytes);
  const grown = grow(file.path, text, drafted);
  const bytes = new TextEncoder().encode(grown);
  const { manifest, problems } = await readManifests(
    [{ path: file.path, bytes }],
    engine === undefined ? {} : { engine },
  );
  if (manifest === null) {
    const error = problems.find(({ severity }) => severity === 'error');
    throw new FirmtallyError(
      'manifest-invalid',
      `${file.path}: with these entries it would not be valid any more: ${error?.message ?? ''}`,
      'Nothing was changed. Draft a manifest of their own, and use both together.',
    );
  }
  const loss = firstLoss(before, manifest, drafted);
  if (loss !== null) throw cannotAdd(file.path, loss);
  return isUtf8WithMark(file.bytes) ? `\ufeff${grown}` : grown;
}

/** The manifest's own folder as its text has it; '' is the root. */
export function folderIn(file: ManifestFile): string {
  const root = rootOf(decodeText(file.bytes));
  const folder = root === null ? undefined : root.get('folder');
  return typeof folder === 'string' && folder !== '.' ? folder : '';
}

function isUtf8WithMark(bytes: Uint8Array): boolean {
  return bytes[0] === 0xef && bytes[1] === 0xbb && bytes[2] === 0xbf;
}

function cannotAdd(path: string, what: string): FirmtallyError {
  return new FirmtallyError(
    'manifest-invalid',
    `${path}: ${what}`,
    'Nothing was changed. Draft a manifest of their own, and use both together.',
  );
}

/** The map that the manifest is; null when there is none. */
function rootOf(text: string): YAMLMap | null {
  const documents = parseAllDocuments(text, {
    schema: 'failsafe',
    resolveKnownTags: false,
    uniqueKeys: false,
    prettyErrors: false,
    keepSourceTokens: true,
    logLevel: 'error',
  }) as Document[];
  const root = documents.map(({ contents }) => contents).find((contents) => isMap(contents));
  return root ?? null;
}

function grow(path: string, text: string, drafted: Drafted): string {
  const root = rootOf(text);
  if (root === null) throw cannotAdd(path, 'there is nothing in it to add to');
  const edits = new TextEdits(text);
  const grower = new Grower(edits, jsonValue(text) !== null, root);
  try {
    addFirmware(path, root, drafted.firmware, grower);
    addSystems(path, root, drafted.systems, grower);
  } catch (error) {
    if (!(error instanceof CannotGrow)) throw error;
    throw cannotAdd(path, 'it is written in a way that entries cannot be put into');
  }
  return edits.apply();
}

function addFirmware(
  path: string,
  root: YAMLMap,
  firmware: readonly DraftedFirmware[],
  grower: Grower,
): void {
  const entries = section(path, root, 'firmware');
  const known = entries === null ? new Map<string, unknown>() : valuesOf(entries);
  for (const { id, dumps } of firmware.filter((entry) => entry.known)) {
    const entry = known.get(id);
    if (!isMap(entry))
      throw cannotAdd(path, `the entry "${id}" is written by an alias, which cannot be added to`);
    const items = dumps.map(
      (dump): Content =>
        (wording) =>
          dumpContent(dump, wording),
    );
    addToLists(path, entry, [['dumps', items]], grower);
  }
  const fresh = firmware.filter((entry) => !entry.known);
  addSection(
    root,
    'firmware',
    entries,
    fresh.map((entry) => [entry.id, (wording) => firmwareContent(entry, wording)]),
    grower,
  );
}

function addSystems(
  path: string,
  root: YAMLMap,
  systems: readonly DraftedSystem[],
  grower: Grower,
): void {
  const entries = section(path, root, 'systems');
  const known = entries === null ? new Map<string, unknown>() : valuesOf(entries);
  for (const { id, requires, optional } of systems.filter((system) => system.known)) {
    const system = known.get(id);
    if (!isMap(system))
      throw cannotAdd(path, `the system "${id}" is written by an alias, which cannot be added to`);
    const ids = (list: readonly string[]): Content[] => list.map((id) => () => id);
    addToLists(
      path,
      system,
      [
        ['requires', ids(requires)],
        ['optional', ids(optional)],
      ],
      grower,
    );
  }
  const fresh = systems.filter((system) => !system.known);
  addSection(
    root,
    'systems',
    entries,
    fresh.map((system) => [system.id, (wording) => systemContent(system, wording)]),
    grower,
  );
}

/** Adds items to lists of a map; lists that are not there are made together, as an empty map has one place only. */
function addToLists(
  path: string,
  map: YAMLMap,
  lists: readonly (readonly [key: string, items: readonly Content[]])[],
  grower: Grower,
): void {
  const values = valuesOf(map);
  const missing: [string, Content][] = [];
  for (const [key, items] of lists) {
    if (items.length === 0) continue;
    const list = values.get(key);
    if (isSeq(list)) grower.addItems(list, items);
    else if (list === undefined) {
      missing.push([key, (wording) => items.map((item) => item(wording))]);
    } else throw cannotAdd(path, `"${key}" is written by an alias there, which cannot be added to`);
  }
  grower.addPairs(map, missing);
}

function addSection(
  root: YAMLMap,
  key: string,
  entries: YAMLMap | null,
  pairs: readonly (readonly [string, Content])[],
  grower: Grower,
): void {
  if (pairs.length === 0) return;
  if (entries === null) {
    const content: Content = (wording) => new Map(pairs.map(([id, value]) => [id, value(wording)]));
    grower.addPairs(root, [[key, content]], true);
  } else if (entries.items.length > 0 || !grower.fillEmpty(root, entries, pairs)) {
    grower.addPairs(entries, pairs);
  }
}

/** One of the manifest's maps; null when it is not there. */
function section(path: string, root: YAMLMap, key: string): YAMLMap | null {
  const value = valuesOf(root).get(key);
  if (value === undefined) return null;
  if (!isMap(value))
    throw cannotAdd(path, `"${key}" is written by an alias, which cannot be added to`);
  return value;
}

function valuesOf(map: YAMLMap): Map<string, unknown> {
  return new Map(
    map.items.map(({ key, value }) => [isScalar(key) ? String(key.value) : '', value]),
  );
}
