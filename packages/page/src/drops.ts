import { droppedItems, type DroppedFolder } from './folder/dropped.js';
import type { Place } from './worker/protocol.js';

/** What to do with a drop: where it is meant for goes by the box it was dropped on. */
export interface DropUse {
  folder(place: Place, folder: DroppedFolder): Promise<void>;
  /** Loose files for the pile. */
  pile(files: readonly File[]): Promise<void>;
  /** Manifests, or posted lists. */
  needs(files: readonly File[]): Promise<void>;
  say(text: string): void;
}

/** Takes what is dropped anywhere on the page. */
export function takeDrops(doing: (work: () => Promise<void>) => void, use: DropUse): void {
  const choose = document.querySelector('.choose');
  const mark = (isOver: boolean): void => {
    choose?.classList.toggle('dragging', isOver);
  };
  document.addEventListener('dragover', (event) => {
    event.preventDefault();
    mark(true);
  });
  document.addEventListener('dragleave', () => mark(false));
  document.addEventListener('drop', (event) => {
    event.preventDefault();
    mark(false);
    const { dataTransfer, target } = event;
    if (dataTransfer === null) return;
    const box = target instanceof Element ? (target.closest('fieldset')?.id ?? '') : '';
    const dropped = droppedItems(dataTransfer.items);
    doing(async () => {
      const [folder, another] = dropped.folders;
      if (another !== undefined) {
        use.say(
          'These are several folders: drop the card and the pile one by one, each on its box.',
        );
        return;
      }
      if (folder !== undefined && box === 'needs-step') {
        use.say(
          `${folder.name} is a folder. A manifest or a list is a file: drop the file; the card's folder belongs on its own box.`,
        );
        return;
      }
      const place: Place = box === 'pile-step' ? 'pile' : 'card';
      if (folder !== undefined) await use.folder(place, folder);
      const files = await dropped.files();
      if (files.length === 0) return;
      // A folder says what it is by its box; files beside one are what is needed.
      const zip = files.find(({ name }) => /\.zip$/i.test(name));
      if (place === 'pile' && folder === undefined) await use.pile(files);
      else if (zip !== undefined)
        use.say(
          `${zip.name} is a ZIP: to see what is in it, drop it on the box of what you collected.`,
        );
      else await use.needs(files);
    });
  });
}
