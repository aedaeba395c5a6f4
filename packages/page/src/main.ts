/** The page: takes what was chosen, has its worker do the work, shows what came of it. */
import { CAUTIONS, HTML_STYLE } from '@firmtally/core';
import { count } from '@firmtally/core/internal';
import { Choices } from './choices.js';
import { byId, downloadButton, make, showText } from './dom.js';
import { takeDrops } from './drops.js';
import { pickedByInput, send, type ToSend } from './folder/send.js';
import { ProgressBar } from './progress-bar.js';
import { Screen } from './screen.js';
import { WorkerClient } from './worker-client.js';
import type { NeedsAnswer, Place, Saved } from './worker/protocol.js';

document.head.append(make('style', [document.createTextNode(HTML_STYLE)]));
byId('cautions', HTMLUListElement).append(...CAUTIONS.map((caution) => make('li', caution)));

const checkCard = byId('check-card', HTMLButtonElement);
const identify = byId('identify-pile', HTMLButtonElement);
const screen = new Screen();
const progress = new ProgressBar();
const worker = new WorkerClient();
const choices = new Choices(() => screen.forget('card'));

let hasManifest = false;
const picked: Record<Place, boolean> = { card: false, pile: false };
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
    screen.say(error instanceof Error ? error.message : String(error));
  } finally {
    busy = false;
    refresh();
  }
}

function refresh(): void {
  checkCard.disabled = busy || !hasManifest || !picked.card;
  identify.disabled = busy || !hasManifest || !picked.pile;
  choices.enable(!busy);
}

function saveButton(label: string, name: string, what: Saved): Node {
  return downloadButton(label, name, () => worker.ask('save', what));
}

function useNeeds(needs: NeedsAnswer): void {
  hasManifest = needs.usable;
  const said = byId('manifest-said', HTMLParagraphElement);
  showText(said, needs.said);
  said.className = needs.usable ? 'soft' : 'wrong';
  screen.tell(needs.said);
  choices.offer(needs);
  screen.forget('manifest', 'card', 'pile');
  if (needs.details === '') return;
  const save = saveButton('Save the drafted manifest', 'firmtally.yaml', 'drafted');
  screen.show('manifest', needs.details, needs.drafted ? [save] : []);
}

async function readNeeds(task: 'manifests' | 'lists', files: readonly File[]): Promise<void> {
  useNeeds(await progress.during((signal) => worker.ask(task, files, { signal })));
}

/** What was picked before is gone by then, even when this cannot be read. */
async function pick({ place, ...rest }: ToSend): Promise<void> {
  picked[place] = false;
  screen.forget(place);
  const said = byId(`${place}-said`, HTMLParagraphElement);
  said.textContent = '';
  const files = await progress.during((signal, show) =>
    send(worker, { place, ...rest }, signal, show),
  );
  picked[place] = files > 0;
  const name = rest.name === null ? '' : `${rest.name}: `;
  showText(
    said,
    files === 0
      ? 'No files there: a browser does not see empty folders.'
      : `${name}${count(files, 'file')}`,
  );
}

const loose = (files: readonly File[]): ToSend => ({
  place: 'pile',
  name: null,
  files: files.map((file) => ({ path: file.name, file })),
  total: files.length,
});

async function auditCard(): Promise<void> {
  const { html, said } = await progress.during((signal, onProgress) =>
    worker.ask('audit', choices.chosen, { signal, onProgress }),
  );
  screen.show('card', html, [
    saveButton('Save the report as HTML', 'firmtally-report.html', 'report-html'),
    saveButton('Save the report as JSON', 'firmtally-report.json', 'report-json'),
  ]);
  screen.goToResult();
  screen.tell(said);
}

async function lookAtPile(): Promise<void> {
  const { html, said } = await progress.during((signal, onProgress) =>
    worker.ask('identify', null, { signal, onProgress }),
  );
  screen.show('pile', html, [
    saveButton('Save what was found as JSON', 'firmtally-pile.json', 'pile-json'),
  ]);
  screen.goToResult();
  screen.tell(said);
}

function emptied(...ids: readonly string[]): void {
  for (const id of ids) byId(id, HTMLInputElement).value = '';
}

function onFiles(
  id: string,
  others: readonly string[],
  use: (files: FileList) => Promise<void>,
): void {
  const input = byId(id, HTMLInputElement);
  input.addEventListener('change', () => {
    const { files } = input;
    if (files === null || files.length === 0) return;
    // All say what is needed: the one that was not taken must not look as if it were.
    emptied(...others);
    void doing(() => use(files));
  });
}

onFiles('manifests', ['list'], (files) => readNeeds('manifests', [...files]));
onFiles('list', ['manifests'], (files) => readNeeds('lists', [...files]));
for (const [id, place] of [
  ['card', 'card'],
  ['pile', 'pile'],
] as const) {
  const others = place === 'pile' ? ['pile-files'] : [];
  onFiles(id, others, (files) => pick({ place, ...pickedByInput(files), total: files.length }));
}
onFiles('pile-files', ['pile'], (files) => pick(loose([...files])));

byId('form', HTMLFormElement).addEventListener('submit', (event) => {
  event.preventDefault();
  void doing(auditCard);
});
identify.addEventListener('click', () => void doing(lookAtPile));

byId('no-folders', HTMLParagraphElement).hidden = 'webkitdirectory' in HTMLInputElement.prototype;

takeDrops((work) => void doing(work), {
  folder: async (place, folder) => {
    emptied(...(place === 'card' ? ['card'] : ['pile', 'pile-files']));
    await pick({ place, name: folder.name, files: folder.files(), total: null });
  },
  pile: async (files) => {
    emptied('pile', 'pile-files');
    await pick(loose(files));
  },
  needs: async (files) => {
    emptied('manifests', 'list');
    const manifests = files.filter(({ name }) => /\.(?:ya?ml|json)$/i.test(name));
    await (manifests.length > 0 ? readNeeds('manifests', manifests) : readNeeds('lists', files));
  },
  say: (text) => screen.say(text),
});
refresh();
