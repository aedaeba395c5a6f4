import {
  audit,
  htmlBody,
  identify,
  jsonText,
  pileViewOf,
  REPORT_FORMATS,
  renderReport,
  viewOf,
  type IdentificationDocument,
  type Manifest,
  type OnProgress,
  type PileSource,
  type Report,
} from '@firmtally/core';
import { HeldFiles, type Fetch } from '../folder/held-files.js';
import { pickedFolder } from '../folder/picked-folder.js';
import { browserPlatform, withWorkers } from '../hash/pool.js';
import { fromLists, fromManifests, type ManifestChoice } from './manifest-choice.js';
import { MAX_SHOWN } from './max-shown.js';
import { pileHtml } from './pile-html.js';
import type {
  AuditChoices,
  NeedsAnswer,
  Place,
  ResultAnswer,
  Saved,
  Tasks as Asked,
  TaskName,
  TaskRequest,
} from './protocol.js';

const GONE =
  'Files changed or went away before they were read: was the card pulled out? What was not read counts as not ready.';

/** What was picked so far; without a name, loose files. */
interface Picked {
  readonly name: string | null;
  readonly files: HeldFiles;
}

/** Fetches files of a folder that the page holds. */
type FetchOf = (folder: number, indexes: readonly number[]) => ReturnType<Fetch>;

/** The page's tasks, and what they share: the manifest, what was picked, and the last results, to be saved. */
export class Tasks {
  readonly #fetch: FetchOf;
  #manifest: Manifest | null = null;
  #drafted: string | null = null;
  readonly #picked = new Map<Place, Picked>();
  #report: Report | null = null;
  #pile: IdentificationDocument | null = null;

  constructor(fetch: FetchOf) {
    this.#fetch = fetch;
  }

  async run(
    request: TaskRequest,
    signal: AbortSignal,
    onProgress: OnProgress,
  ): Promise<Asked[TaskName]['answer']> {
    switch (request.task) {
      case 'manifests':
        return this.#use(await fromManifests(request.input));
      case 'lists':
        return this.#use(await fromLists(request.input));
      case 'begin':
        return this.#begin(request.input);
      case 'add':
        this.#pickedFor(request.input.place).files.add(request.input.paths);
        return null;
      case 'audit':
        return this.#audit(request.input, signal, onProgress);
      case 'identify':
        return this.#identify(signal, onProgress);
      case 'save':
        return this.#saved(request.input);
    }
  }

  #use({ manifest, drafted, said, details }: ManifestChoice): NeedsAnswer {
    this.#manifest = manifest;
    this.#drafted = drafted;
    return {
      usable: manifest !== null,
      said,
      details,
      drafted: drafted !== null,
      loadouts: [...(manifest?.loadouts.values() ?? [])].map(({ id, name }) => ({
        id,
        name: name ?? id,
      })),
      systems: [...(manifest?.systems.values() ?? [])].map(({ id, name }) => ({ id, name })),
    };
  }

  #begin({ place, folder, name }: Asked['begin']['input']): null {
    const files = new HeldFiles((indexes) => this.#fetch(folder, indexes));
    this.#picked.set(place, { name, files });
    return null;
  }

  async #audit(
    { loadout, systems, wide, strict, strays }: AuditChoices,
    signal: AbortSignal,
    onProgress: OnProgress,
  ): Promise<ResultAnswer> {
    const manifests = this.#needed();
    const { name, files } = this.#pickedFor('card');
    const root = name ?? '.';
    const report = await withWorkers(onProgress, (inWorkers, jobs) =>
      audit(inWorkers(pickedFolder(files)), {
        root,
        // A browser tells nothing of where the folder is but its name.
        rootPath: `/${root}`,
        manifests,
        loadout,
        ...(systems === null ? {} : { systems }),
        wide,
        strict,
        strays,
        platform: browserPlatform,
        jobs,
        signal,
        onProgress,
      }),
    );
    this.#report = report;
    const view = viewOf(report);
    // Which of the two it is, browsers tell differently.
    const gone = report.faults.some(
      ({ code }) => code === 'vanished' || code === 'changed-while-read',
    );
    const html = htmlBody(view, { atMost: MAX_SHOWN });
    if (!gone) return { html, said: view.summary };
    // Where the person is taken, that comes before all else.
    return {
      html: `<section class="alert" aria-label="Before all else"><p>${GONE}</p></section>\n${html}`,
      said: GONE,
    };
  }

  async #identify(signal: AbortSignal, onProgress: OnProgress): Promise<ResultAnswer> {
    const manifest = this.#needed();
    const { name, files } = this.#pickedFor('pile');
    const document = await withWorkers(onProgress, (inWorkers, jobs) => {
      const sources: readonly PileSource[] =
        name === null
          ? files.paths().map((path) => ({
              name: path,
              kind: 'file',
              folder: inWorkers(pickedFolder(files, [path])),
            }))
          : [{ name, kind: 'folder', folder: inWorkers(pickedFolder(files)) }];
      return identify(sources, {
        manifests: manifest,
        platform: browserPlatform,
        jobs,
        signal,
        onProgress,
      });
    });
    this.#pile = document;
    const view = pileViewOf(document, manifest);
    return { html: pileHtml(view), said: view.summary };
  }

  #saved(what: Saved): Blob {
    const blob = (text: string | null, type: string): Blob => {
      if (text === null) throw new Error('There is nothing to save any more.');
      return new Blob([text], { type });
    };
    const [report, pile] = [this.#report, this.#pile];
    switch (what) {
      case 'report-html':
      case 'report-json': {
        const format = what === 'report-html' ? 'html' : 'json';
        const text = report === null ? null : renderReport(report, format);
        return blob(text, REPORT_FORMATS[format].mediaType);
      }
      case 'pile-json':
        return blob(pile === null ? null : jsonText(pile), 'application/json');
      case 'drafted':
        return blob(this.#drafted, 'application/yaml');
    }
  }

  #needed(): Manifest {
    if (this.#manifest === null) throw new Error('Choose a manifest first.');
    return this.#manifest;
  }

  #pickedFor(place: Place): Picked {
    const picked = this.#picked.get(place);
    if (picked === undefined) throw new Error('Choose the folder first.');
    return picked;
  }
}
