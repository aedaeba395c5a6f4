import type { EntryKind } from '../bytes/source.js';
import type { FatCode, FatValues } from '../text/fat.js';
import { bytes } from './phrases.js';

/** Why a step that is wanted is not in a plan, by code. */
export interface PlanProblemValues extends FatValues {
  /** The file has more bytes than FAT32 can hold in one. */
  readonly 'fat-file-size': { readonly size: number; readonly limit: number };
  /** On FAT32 the path is one with `other`, which another entry expects: as a file, or as a folder on the way. */
  readonly 'name-clash': { readonly other: string; readonly as: 'file' | 'folder' };
  /** The file there is right for `holder`, which another system or loadout expects there. Null: entries that share the path need different bytes there. */
  readonly 'path-conflict': { readonly holder: string | null };
  /** Only a damaged copy was found, which can be made right; `source` null is the card, `path` '' the source itself. */
  readonly 'needs-repair': {
    readonly from: { readonly source: string | null; readonly path: string };
  };
  /** Something stands where a folder on the way is needed. */
  readonly 'not-a-folder': { readonly kind: EntryKind };
  /** Something stands where the file belongs. */
  readonly 'not-a-file': { readonly kind: EntryKind };
}

/** Stable codes of plan problems. */
export type PlanProblemCode = keyof PlanProblemValues;

/** Where and for what something cannot be done. */
interface About {
  /** Id of the firmware. */
  readonly firmware: string;
  /** '/'-joined, on the card. */
  readonly path: string;
}

/** Why a step that is wanted is not in a plan: its code, its values, and a plain English sentence made from them. */
export type PlanProblem<Code extends PlanProblemCode = PlanProblemCode> = {
  [Each in Code]: About & { readonly code: Each; readonly text: string } & PlanProblemValues[Each];
}[Code];

/** The same before it is known whom it hinders. */
export type Hindrance = PlanProblem extends infer Each
  ? Each extends PlanProblem
    ? Omit<Each, 'firmware'>
    : never
  : never;

/** The sentence for each that FAT names have no words for. Nothing is escaped here, and no command or option is named. */
const WORDS: {
  readonly [Code in Exclude<PlanProblemCode, FatCode>]: (values: PlanProblemValues[Code]) => string;
} = {
  'fat-file-size': ({ size, limit }) =>
    `FAT32 files have at most ${bytes(limit)}; this one has ${String(size)}.`,
  'name-clash': ({ other, as }) =>
    as === 'file'
      ? `On FAT32 this is the same name as "${other}", which another entry expects.`
      : `Another entry expects the folder as "${other}"; on FAT32 both are one folder.`,
  'path-conflict': ({ holder }) =>
    holder === null
      ? 'Entries that share this path need different bytes there.'
      : `The file there is right for ${holder}, which another system or loadout expects there.`,
  'needs-repair': ({ from: { source, path } }) => {
    const where = [source ?? 'the card', path].filter((part) => part !== '').join(': ');
    return `Only a damaged copy was found (${where}); a corrected one can be made of it.`;
  },
  'not-a-folder': ({ kind }) =>
    `A ${KINDS[kind]} stands where a folder is needed; move it away yourself.`,
  'not-a-file': ({ kind }) =>
    `A ${KINDS[kind]} stands where the file belongs; move it away yourself.`,
};

const KINDS: Readonly<Record<EntryKind, string>> = {
  file: 'file',
  folder: 'folder',
  link: 'link',
  fifo: 'named pipe',
  socket: 'socket',
  device: 'device',
  unknown: 'thing of an unknown kind',
};

/** Makes what hinders a step at a path; its text follows from its values. */
export function hindrance<Code extends Exclude<PlanProblemCode, FatCode>>(
  code: Code,
  path: string,
  values: PlanProblemValues[Code],
): Hindrance {
  const made = { path, code, text: WORDS[code](values), ...values };
  // The compiler cannot see that a union over codes is met one code at a time.
  return made as unknown as Hindrance;
}

/** Says whom it hinders. */
export function hinders(firmware: string, hindered: Hindrance): PlanProblem {
  return { ...hindered, firmware };
}
