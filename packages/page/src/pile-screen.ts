import {
  identify,
  recognitionOf,
  type Identification,
  type IdentificationDocument,
  type Manifest,
  type Recognition,
  type TaskProgress,
} from '@firmtally/core';
import { count, placeInside } from '@firmtally/core/internal';
import { make } from './dom.js';
import type { PickedFolder } from './folder/picked-folder.js';
import { browserPlatform, withWorkers } from './hash/pool.js';

/** Says what the files of a pile are, as the command `identify` does. */
export function identifyPicked(
  pile: PickedFolder,
  manifest: Manifest,
  signal: AbortSignal,
  onProgress: (progress: TaskProgress) => void,
): Promise<IdentificationDocument> {
  return withWorkers(pile, (folder, jobs) =>
    identify([{ name: pile.name, kind: 'folder', folder }], {
      manifests: manifest,
      platform: browserPlatform,
      jobs,
      signal,
      onProgress,
    }),
  );
}

/** What a pile holds, as a page's main part. */
export function pileScreen(document: IdentificationDocument, manifest: Manifest): Node {
  const { totals, faults } = document;
  const filesOf = (wanted: Recognition): readonly Identification[] =>
    document.files.filter((file) => recognitionOf(file) === wanted);
  const main = make('main', [
    make('h1', 'What is in the pile'),
    make(
      'p',
      `${count(totals.files, 'file')}: ${String(totals.recognised)} recognised, ${String(totals.needAttention)} need attention, ${String(totals.unrelated)} not in the manifest.`,
      { class: 'summary' },
    ),
  ]);
  const section = (title: string, items: readonly Node[]): void => {
    if (items.length > 0) main.append(make('section', [make('h2', title), ...items]));
  };
  section(
    'Recognised',
    filesOf('recognised').map((file) => recognised(file, manifest)),
  );
  section('Needs attention', filesOf('needs-attention').map(needsAttention));
  section(
    'Could not be read',
    faults.map(({ path, message }) => make('p', `${path}: ${message}`)),
  );
  const others = filesOf('unrelated');
  if (others.length > 0) {
    main.append(
      make('details', [
        make('summary', `${count(others.length, 'file')} not in the manifest`),
        make(
          'ul',
          others.slice(0, MAX_LISTED).map((file) => make('li', nameOf(file))),
        ),
        ...(others.length > MAX_LISTED
          ? [make('p', `and ${String(others.length - MAX_LISTED)} more`)]
          : []),
      ]),
    );
  }
  return main;
}

/** Nobody reads more, and a page with 100,000 lines is slow. */
const MAX_LISTED = 1000;

function recognised(file: Identification, manifest: Manifest): Node {
  const what = file.firmware.map(({ id, systems }) => {
    const names = systems.map((system) => manifest.systems.get(system)?.name ?? system);
    return names.length === 0 ? id : `${id}, for ${names.join(', ')}`;
  });
  return make(
    'article',
    [
      make('h3', nameOf(file)),
      ...what.map((text) => make('p', text)),
      ...file.facts.map(({ text }) => make('p', text)),
    ],
    { class: 'entry' },
  );
}

function needsAttention(file: Identification): Node {
  const what = file.diagnosis === null ? '' : `: ${file.diagnosis}`;
  return make(
    'article',
    [
      make('h3', nameOf(file)),
      make('p', `${file.nearest ?? ''}${what}`),
      ...file.facts.map(({ text }) => make('p', text)),
      ...(file.advice === null ? [] : [make('p', file.advice.text)]),
    ],
    { class: 'task do' },
  );
}

function nameOf({ path, inside }: Identification): string {
  return placeInside(path, inside);
}
