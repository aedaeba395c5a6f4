import {
  draft,
  FirmtallyError,
  MAX_MANIFEST_BYTES,
  readManifests,
  type Manifest,
  type ManifestFile,
} from '@firmtally/core';
import { breakable, count, escaped, firstTexts, remarksOf } from '@firmtally/core/internal';
import { browserPlatform } from '../hash/pool.js';
import { MAX_SHOWN } from './max-shown.js';
import { problemsHtml } from './problems-html.js';

/** Larger files are no manifests and no lists; core says so, and need not be given more. */
const MAX_BYTES = MAX_MANIFEST_BYTES + 1;

/** What came of choosing manifests or posted lists. */
export interface ManifestChoice {
  /** Null when it has errors, or nothing could be made of it. */
  readonly manifest: Manifest | null;
  /** One sentence for the person. */
  readonly said: string;
  /** Problems with their frames, or what was drafted and what a list left out: HTML, every name escaped; '' when there is nothing to show. */
  readonly details: string;
  /** The drafted manifest's text; null when manifests were chosen. */
  readonly drafted: string | null;
}

/** Reads chosen manifests; their problems are those that `validate` shows. */
export async function fromManifests(files: readonly File[]): Promise<ManifestChoice> {
  const read = await bytesOf(files);
  const { manifest, problems } = await readManifests(read);
  const sources = new Map(read.map(({ path, bytes }) => [path, bytes]));
  const title = manifest === null ? 'What is wrong with the manifest' : 'Worth knowing';
  const details = problems.length === 0 ? '' : screen(title, [problemsHtml(problems, sources)]);
  if (manifest === null) {
    const errors = problems.filter(({ severity }) => severity === 'error').length;
    const said = `The manifest has ${errors === 1 ? 'an error' : count(errors, 'error')}; see below.`;
    return { manifest, said, details, drafted: null };
  }
  const { systems, firmware, loadouts } = manifest;
  const warnings = problems.length === 0 ? '' : ` ${count(problems.length, 'warning')}; see below.`;
  const said = `Valid: ${count(systems.size, 'system')}, ${String(firmware.size)} firmware, ${count(loadouts.size, 'loadout')}.${warnings}`;
  return { manifest, said, details, drafted: null };
}

/** Drafts a manifest from posted lists. Every value is the list's word: no file was read. */
export async function fromLists(files: readonly File[]): Promise<ManifestChoice> {
  try {
    const { text, drafted } = await draft(await bytesOf(files), { platform: browserPlatform });
    const { leftOut, notes } = remarksOf(drafted);
    const lists = [
      ...itemList('Lines that were not used', leftOut),
      ...itemList('Worth knowing', notes),
    ];
    if (text === null) {
      const said = 'No line of the list names a file with a checksum.';
      const details = lists.length === 0 ? '' : screen('Nothing could be drafted', lists);
      return { manifest: null, said, details, drafted: null };
    }
    const { manifest } = await readManifests([
      { path: 'drafted.yaml', bytes: new TextEncoder().encode(text) },
    ]);
    const skipped =
      leftOut.length === 0
        ? ''
        : ` ${count(leftOut.length, 'line was', 'lines were')} not used; see below.`;
    const said = `A manifest of ${count(drafted.firmware.length, 'file')} was drafted from the list, not checked against any file.${skipped}`;
    const details = screen('Drafted from the list', [
      '<p>Check the card by it as it is, or save it and say which system needs what.</p>',
      ...lists,
      '<h2>The manifest</h2>',
      `<pre>${firstTexts(text.split('\n'), MAX_SHOWN, escaped).join('\n')}</pre>`,
    ]);
    return { manifest, said, details, drafted: text };
  } catch (error) {
    if (!(error instanceof FirmtallyError)) throw error;
    return { manifest: null, said: words(error), details: '', drafted: null };
  }
}

/** What an error of the library says to a person. */
export function words({ message, remedy }: FirmtallyError): string {
  const stop = /[.?!]$/.test(message) ? '' : '.';
  return remedy === null ? message : `${message}${stop} ${remedy}`;
}

function screen(title: string, blocks: readonly string[]): string {
  return ['<main>', `<h1>${title}</h1>`, ...blocks, '</main>'].join('\n');
}

function itemList(title: string, items: readonly string[]): string[] {
  if (items.length === 0) return [];
  return [
    `<h2>${title}</h2>`,
    '<ul>',
    ...firstTexts(items, MAX_SHOWN, breakable).map((item) => `<li>${item}</li>`),
    '</ul>',
  ];
}

function bytesOf(files: readonly File[]): Promise<ManifestFile[]> {
  return Promise.all(
    files.map(async (file) => ({
      path: file.name,
      bytes: new Uint8Array(await file.slice(0, MAX_BYTES).arrayBuffer()),
    })),
  );
}
