/** What the page asks of its worker, which holds the files and does the work; the page only draws. */
import type { TaskProgress } from '@firmtally/core';

/** What was picked: the card, or what was collected. */
export type Place = 'card' | 'pile';

/** Paths of files that were picked, below the folder, in the order in which the page holds the files. */
interface PickedPart {
  readonly place: Place;
  readonly paths: readonly string[];
}

/** Asks the page for files of a folder by their place in its order: to hand a file over, a browser asks the file system for its size. */
export interface FilesNeeded {
  readonly folder: number;
  readonly indexes: readonly number[];
}

/** An id and what it is called. */
export interface Named {
  readonly id: string;
  readonly name: string;
}

/** What came of choosing manifests or posted lists. */
export interface NeedsAnswer {
  /** False when it has errors, or nothing could be made of it. */
  readonly usable: boolean;
  /** One sentence for the person. */
  readonly said: string;
  /** Problems with their frames, or what was drafted and what a list left out: HTML, every name escaped; '' when there is nothing to show. */
  readonly details: string;
  /** Whether there is a drafted manifest to save. */
  readonly drafted: boolean;
  readonly loadouts: readonly Named[];
  readonly systems: readonly Named[];
}

/** What of the manifest is audited, and how. */
export interface AuditChoices {
  readonly loadout: string | null;
  /** Null when none is chosen by itself. */
  readonly systems: readonly string[] | null;
  readonly wide: boolean;
  readonly strict: boolean;
  readonly strays: boolean;
}

/** What there is to show of a card or a pile. */
export interface ResultAnswer {
  /** Every name in it is escaped. */
  readonly html: string;
  /** One sentence for the person. */
  readonly said: string;
}

/** What can be saved as a file. */
export type Saved = 'report-html' | 'report-json' | 'pile-json' | 'drafted';

/** Everything that can be asked: what goes with it, and what comes back. */
export interface Tasks {
  readonly manifests: { readonly input: readonly File[]; readonly answer: NeedsAnswer };
  readonly lists: { readonly input: readonly File[]; readonly answer: NeedsAnswer };
  /** Begins a folder, or, without a name, loose files. `folder` is what its files are asked for by. */
  readonly begin: {
    readonly input: {
      readonly place: Place;
      readonly folder: number;
      readonly name: string | null;
    };
    readonly answer: null;
  };
  readonly add: { readonly input: PickedPart; readonly answer: null };
  readonly audit: { readonly input: AuditChoices; readonly answer: ResultAnswer };
  readonly identify: { readonly input: null; readonly answer: ResultAnswer };
  readonly save: { readonly input: Saved; readonly answer: Blob };
}

export type TaskName = keyof Tasks;

/** Asks for a task, stops one, or gives files that were asked for, null for one that is gone. */
export type Request =
  | {
      [Name in TaskName]: {
        readonly id: number;
        readonly task: Name;
        readonly input: Tasks[Name]['input'];
      };
    }[TaskName]
  | { readonly id: number; readonly stop: true }
  | { readonly id: number; readonly given: readonly (File | null)[] };

/** A {@link Request} for a task. */
export type TaskRequest = Extract<Request, { readonly task: TaskName }>;

/** How a task goes on, and how it ended; or what the worker needs, by an id of its own. */
export type Reply =
  | { readonly id: number; readonly needed: FilesNeeded }
  | { readonly id: number; readonly progress: TaskProgress }
  | { readonly id: number; readonly answer: Tasks[TaskName]['answer'] }
  | { readonly id: number; readonly failed: string };
