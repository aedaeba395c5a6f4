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
import { byId, downloadButton, make, showText } from './dom.js';
import { droppedItems } from './folder/dropped.js';
import { fromInput, type PickedFolder } from './folder/picked-folder.js';
import { browserPlatform, withWorkers } from './hash/pool.js';
import { fromLists, fromManifests, words, type ManifestChoice } from './manifest-choice.js';
import { identifyPicked } from './identify-pile.js';
import { pileHtml } from './pile-html.js';
import { ProgressBar } from './progress-bar.js';

document.head.append(make('style', [document.createTextNode(HTML_STYLE)]));
byId('cautions', HTMLUListElement).append(...CAUTIONS.map((caution) => make('li', caution)));

const checkCard = byId('check-card', HTMLButtonElement);
const identify = byId('identify-pile', HTMLButtonElement);
const loadout = byId('loadout', HTMLSelectElement);
const status = byId('status', HTMLParagraphElement);
const result = byId('result', HTMLDivElement);
const downloads = byId('downloads', HTMLParagraphElement);
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
  showText(status, '');
  refresh();
  try {
    await work();
  } catch (error) {
    showText(status, said(error));
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
  manifest = choice.manifest;
  showText(byId('manifest-said', HTMLParagraphElement), choice.said);
  loadout.replaceChildren(make('option', 'All systems', { value: '' }));
  for (const { id, name } of manifest?.loadouts.values() ?? []) {
    loadout.append(make('option', name ?? id, { value: id }));
  }
  showDownloads(
    choice.drafted === null
      ? []
      : [
          downloadButton(
            'Save the drafted manifest',
            'firmtally.yaml',
            'application/yaml',
            choice.drafted,
          ),
        ],
  );
  if (choice.details === '') return;
  const title = manifest === null ? 'What is wrong with the manifest' : 'Worth knowing';
  // Core has escaped it already, line by line: showText would escape the line ends too.
  const details = make('pre', [document.createTextNode(choice.details)], {
    class: 'problems',
    tabindex: '0',
  });
  result.replaceChildren(make('main', [make('h1', title), details]));
}

function showDownloads(buttons: readonly Node[]): void {
  downloads.replaceChildren(...buttons);
  downloads.hidden = buttons.length === 0;
}

function useCard(folder: PickedFolder | null): void {
  card = folder;
  showText(byId('card-said', HTMLSpanElement), told(folder));
}

function usePile(folder: PickedFolder | null): void {
  pile = folder;
  showText(byId('pile-said', HTMLSpanElement), told(folder));
}

function told(folder: PickedFolder | null): string {
  if (folder === null) return 'No files there: a browser does not see empty folders.';
  return `${folder.name}: ${String(folder.files)} files`;
}

async function auditCard(): Promise<void> {
  if (manifest === null || card === null) return;
  const [{ folders, root }, chosen] = [{ folders: card, root: card.name }, manifest];
  const report = await progress.during((signal, onProgress) =>
    withWorkers(folders, onProgress, (folder, jobs) =>
      audit(folder, {
        root,
        // A browser tells nothing of where the folder is but its name.
        rootPath: `/${root}`,
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
  // The renderer escapes every name, and the page's policy lets no script run but its own.
  result.innerHTML = htmlBody(view, { detail: false });
  showResult();
  // Which of the two it is, browsers tell differently.
  const gone = report.faults.some(
    ({ code }) => code === 'vanished' || code === 'changed-while-read',
  );
  showText(
    status,
    gone
      ? 'Files changed or went away before they were read: was the card pulled out? What was not read counts as not ready.'
      : view.summary,
  );
  showDownloads(
    (['html', 'json'] as const).map((format) =>
      downloadButton(
        `Save the report as ${format.toUpperCase()}`,
        `firmtally-report.${REPORT_FORMATS[format].extension}`,
        REPORT_FORMATS[format].mediaType,
        renderReport(report, format),
      ),
    ),
  );
}

async function lookAtPile(): Promise<void> {
  if (manifest === null || pile === null) return;
  const [chosen, folder] = [manifest, pile];
  const document = await progress.during((signal, show) =>
    identifyPicked(folder, chosen, signal, show),
  );
  result.innerHTML = pileHtml(pileViewOf(document, chosen));
  showResult();
  showDownloads([
    downloadButton(
      'Save what was found as JSON',
      'firmtally-pile.json',
      'application/json',
      jsonText(document),
    ),
  ]);
}

/** On a phone it stands below what can be seen; the keyboard goes on from there. */
function showResult(): void {
  result.scrollIntoView();
  result.focus({ preventScroll: true });
}

function onFiles(id: string, use: (files: readonly File[]) => Promise<void> | void): void {
  const input = byId(id, HTMLInputElement);
  input.addEventListener('change', () => {
    const files = [...(input.files ?? [])];
    void doing(async () => {
      await use(files);
    });
  });
}

onFiles('manifests', async (files) => {
  if (files.length > 0) useManifest(await fromManifests(files));
});
onFiles('list', async (files) => {
  if (files.length > 0) useManifest(await fromLists(files));
});
onFiles('card', async (files) => useCard(files.length === 0 ? null : await fromInput(files)));
onFiles('pile', async (files) => usePile(files.length === 0 ? null : await fromInput(files)));

byId('form', HTMLFormElement).addEventListener('submit', (event) => {
  event.preventDefault();
  void doing(auditCard);
});
identify.addEventListener('click', () => void doing(lookAtPile));

const choose = document.querySelector('.choose');
document.addEventListener('dragover', (event) => {
  event.preventDefault();
  choose?.classList.add('dragging');
});
document.addEventListener('dragleave', () => choose?.classList.remove('dragging'));
document.addEventListener('drop', (event) => {
  event.preventDefault();
  choose?.classList.remove('dragging');
  const { dataTransfer } = event;
  if (dataTransfer === null) return;
  const reading = droppedItems(dataTransfer.items);
  void doing(async () => {
    const { folder, files } = await reading;
    if (folder !== null) useCard(folder);
    const manifests = files.filter(({ name }) => /\.(?:ya?ml|json)$/i.test(name));
    if (manifests.length > 0) useManifest(await fromManifests(manifests));
    else if (files.length > 0) useManifest(await fromLists(files));
  });
});
refresh();
