/** The page: takes what was chosen, has the core judge it, shows the result. */
import {
  audit,
  CAUTIONS,
  FirmtallyError,
  HTML_STYLE,
  htmlBody,
  jsonText,
  pileViewOf,
  REPORT_FORMATS,
  renderReport,
  viewOf,
  type Manifest,
  type Report,
} from '@firmtally/core';
import { count } from '@firmtally/core/internal';
import { byId, downloadButton, make, showText } from './dom.js';
import { droppedItems } from './folder/dropped.js';
import { fromInput, type PickedFolder } from './folder/picked-folder.js';
import { browserPlatform, withWorkers } from './hash/pool.js';
import { identifyPicked } from './identify-pile.js';
import { fromLists, fromManifests, words, type ManifestChoice } from './manifest-choice.js';
import { pileHtml } from './pile-html.js';
import { ProgressBar } from './progress-bar.js';
import { Screen } from './screen.js';

document.head.append(make('style', [document.createTextNode(HTML_STYLE)]));
byId('cautions', HTMLUListElement).append(...CAUTIONS.map((caution) => make('li', caution)));

const checkCard = byId('check-card', HTMLButtonElement);
const identify = byId('identify-pile', HTMLButtonElement);
const loadout = byId('loadout', HTMLSelectElement);
const screen = new Screen();
const progress = new ProgressBar();

let manifest: Manifest | null = null;
let card: PickedFolder | null = null;
let pile: PickedFolder | null = null;
let busy = false;

let before: Promise<void> = Promise.resolve();

/** One thing after another, none lost; what fails is said, and nothing else changes. */
function doing(work: () => Promise<void>): Promise<void> {
  before = before.then(() => alone(work));
  return before;
}

async function alone(work: () => Promise<void>): Promise<void> {
  busy = true;
  screen.say('');
  refresh();
  try {
    await work();
  } catch (error) {
    screen.say(said(error));
  } finally {
    busy = false;
    refresh();
  }
}

function said(error: unknown): string {
  if (error instanceof FirmtallyError) return words(error);
  return error instanceof Error ? error.message : String(error);
}

function refresh(): void {
  checkCard.disabled = busy || manifest === null || card === null;
  identify.disabled = busy || manifest === null || pile === null;
  loadout.disabled = busy || manifest === null || manifest.loadouts.size === 0;
}

function useManifest(choice: ManifestChoice): void {
  const { said, details, drafted } = choice;
  manifest = choice.manifest;
  showText(byId('manifest-said', HTMLParagraphElement), said);
  loadout.replaceChildren(make('option', 'All systems', { value: '' }));
  for (const { id, name } of manifest?.loadouts.values() ?? []) {
    loadout.append(make('option', name ?? id, { value: id }));
  }
  screen.forget('manifest', 'card', 'pile');
  if (details === '') return;
  const save = (text: string): Node =>
    downloadButton('Save the drafted manifest', 'firmtally.yaml', 'application/yaml', text);
  screen.show('manifest', details, drafted === null ? [] : [save(drafted)]);
}

function useCard(folder: PickedFolder | null): void {
  card = folder?.files === 0 ? null : folder;
  showText(byId('card-said', HTMLParagraphElement), told(card));
  screen.forget('card');
}

function usePile(folder: PickedFolder | null): void {
  pile = folder?.files === 0 ? null : folder;
  showText(byId('pile-said', HTMLParagraphElement), told(pile));
  screen.forget('pile');
}

function told(folder: PickedFolder | null): string {
  if (folder === null) return 'No files there: a browser does not see empty folders.';
  return `${folder.name}: ${count(folder.files, 'file')}`;
}

async function auditCard(): Promise<void> {
  if (manifest === null || card === null) return;
  const [chosen, picked] = [manifest, card];
  const report = await progress.during((signal, onProgress) =>
    withWorkers(picked, onProgress, (folder, jobs) =>
      audit(folder, {
        root: picked.name,
        // A browser tells nothing of where the folder is but its name.
        rootPath: `/${picked.name}`,
        manifests: chosen,
        loadout: loadout.value === '' ? null : loadout.value,
        platform: browserPlatform,
        jobs,
        signal,
        onProgress,
      }),
    ),
  );
  showReport(report);
}

function showReport(report: Report): void {
  const view = viewOf(report);
  const saves = (['html', 'json'] as const).map((name) => {
    const { extension, mediaType } = REPORT_FORMATS[name];
    const label = `Save the report as ${name.toUpperCase()}`;
    return downloadButton(label, `firmtally-report.${extension}`, mediaType, () =>
      renderReport(report, name),
    );
  });
  screen.show('card', htmlBody(view, { detail: false }), saves);
  screen.goToResult();
  // Which of the two it is, browsers tell differently.
  const gone = report.faults.some(
    ({ code }) => code === 'vanished' || code === 'changed-while-read',
  );
  screen.say(
    gone
      ? 'Files changed or went away before they were read: was the card pulled out? What was not read counts as not ready.'
      : view.summary,
  );
}

async function lookAtPile(): Promise<void> {
  if (manifest === null || pile === null) return;
  const [chosen, folder] = [manifest, pile];
  const document = await progress.during((signal, onProgress) =>
    identifyPicked(folder, chosen, signal, onProgress),
  );
  const view = pileViewOf(document, chosen);
  screen.show('pile', pileHtml(view), [
    downloadButton('Save what was found as JSON', 'firmtally-pile.json', 'application/json', () =>
      jsonText(document),
    ),
  ]);
  screen.goToResult();
  screen.say(view.summary);
}

function onFiles(id: string, use: (files: readonly File[]) => Promise<void>): void {
  const input = byId(id, HTMLInputElement);
  input.addEventListener('change', () => {
    const files = [...(input.files ?? [])];
    void doing(() => use(files));
  });
}

/** Both say what is needed: the one that was not taken must not look as if it were. */
function onNeeds(
  id: string,
  other: string,
  read: (files: readonly File[]) => Promise<ManifestChoice>,
): void {
  onFiles(id, async (files) => {
    if (files.length === 0) return;
    byId(other, HTMLInputElement).value = '';
    useManifest(await read(files));
  });
}

onNeeds('manifests', 'list', fromManifests);
onNeeds('list', 'manifests', fromLists);

const picking = (files: readonly File[]): Promise<PickedFolder | null> =>
  files.length === 0
    ? Promise.resolve(null)
    : progress.during((signal, show) => fromInput(files, signal, show));
onFiles('card', async (files) => useCard(await picking(files)));
onFiles('pile', async (files) => usePile(await picking(files)));

byId('form', HTMLFormElement).addEventListener('submit', (event) => {
  event.preventDefault();
  void doing(auditCard);
});
identify.addEventListener('click', () => void doing(lookAtPile));

byId('no-folders', HTMLParagraphElement).hidden = 'webkitdirectory' in HTMLInputElement.prototype;

const choose = document.querySelector('.choose');
const pileStep = byId('pile-step', HTMLFieldSetElement);
document.addEventListener('dragover', (event) => {
  event.preventDefault();
  choose?.classList.add('dragging');
});
document.addEventListener('dragleave', () => choose?.classList.remove('dragging'));
document.addEventListener('drop', (event) => {
  event.preventDefault();
  choose?.classList.remove('dragging');
  const { dataTransfer, target } = event;
  if (dataTransfer === null) return;
  const onPile = target instanceof Node && pileStep.contains(target);
  const read = droppedItems(dataTransfer.items);
  void doing(async () => {
    const { folder, files } = await progress.during(read);
    if (folder !== null) (onPile ? usePile : useCard)(folder);
    if (files.length === 0) return;
    for (const id of ['manifests', 'list']) byId(id, HTMLInputElement).value = '';
    const manifests = files.filter(({ name }) => /\.(?:ya?ml|json)$/i.test(name));
    useManifest(await (manifests.length > 0 ? fromManifests(manifests) : fromLists(files)));
  });
});
refresh();
