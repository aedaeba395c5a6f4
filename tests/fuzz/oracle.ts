/**
 * A second opinion on verdicts, written from the rules alone and sharing no
 * code with packages/core: letter case is compared by the regular expression
 * engine (ECMA-262, `iu` flags: simple case folding), order by Buffer.compare
 * over UTF-8, digests by node:crypto and node:zlib. It looks at every file
 * for every entry, and so is slow and plain.
 */
import { digestsOf } from './contents.js';
import {
  expectedPath,
  type DumpModel,
  type FirmwareModel,
  type ManifestModel,
  type MemberModel,
} from './expectation.js';
import type { FileNode, Tree, TreeNode } from './tree.js';

export interface Opinion {
  readonly expectedPath: string;
  /** Any of these is right; more than one only where the rules leave it open. */
  readonly verdicts: readonly string[];
  /** Null: nothing found. Undefined: the rules leave it open. */
  readonly foundAt: string | null | undefined;
  /** Label of the dump; undefined: open. */
  readonly dump: string | null | undefined;
}

export function opinions(model: ManifestModel, tree: Tree, wide: boolean): Map<string, Opinion> {
  const paths = model.firmware.map((one) => expectedPath(one.folder ?? model.folder, one.path));
  const folders = new Set(paths.map((path) => nfc(folderOf(path))));
  return new Map(
    model.firmware.map((one, index) => {
      const path = paths[index] ?? '';
      return [one.id, opinion(one, path, { model, tree, wide, folders })];
    }),
  );
}

interface Setting {
  readonly model: ManifestModel;
  readonly tree: Tree;
  readonly wide: boolean;
  readonly folders: ReadonlySet<string>;
}

function opinion(one: FirmwareModel, path: string, setting: Setting): Opinion {
  const { tree, model } = setting;
  const base = { expectedPath: path };
  // A reader may refuse a whole archive for one bad member, or read the rest.
  const eitherWay = [...tree.nodes.keys()].some((other) => {
    const file = usable(tree, other);
    return one.members !== null && file?.zip?.suspect === true && isRight(one, file);
  });
  // Of a presence-only entry only the name counts; whether the file could be
  // read need not be found out.
  const unread = [...tree.nodes.keys()].some(
    (other) =>
      isPresenceOnly(one) &&
      sameUnderCase(nameOf(other), nameOf(path)) &&
      tree.file(other)?.broken !== undefined,
  );
  if (eitherWay || unread) {
    return { ...base, verdicts: ANY, foundAt: undefined, dump: undefined };
  }
  // Step 1: the path itself.
  const there = atPath(tree, path);
  if (there.length > 1) return { ...base, verdicts: ANY, foundAt: undefined, dump: undefined };
  const [exact] = there;
  if (exact !== undefined) return judgedAt(one, path, exact, setting);
  // Step 2: the path but for letter case.
  const variants = [...tree.nodes.keys()]
    .filter((other) => sameButForCase(other, path))
    .sort(byUtf8);
  if (variants.length > 0) {
    // Which of several that prove nothing counts is left open.
    const isOpen = (variant: string): boolean => {
      const file = usable(tree, variant);
      return file === null || content(one, file).unproven;
    };
    if (variants.some(isOpen)) {
      return { ...base, verdicts: ANY, foundAt: undefined, dump: undefined };
    }
    const chosen =
      variants.find((variant) => isRight(one, fileAt(tree, variant))) ?? variants[0] ?? '';
    if (model.ignoreCase) return judgedAt(one, path, chosen, setting);
    const finding = content(one, fileAt(tree, chosen));
    if (finding.right)
      return { ...base, verdicts: ['miscased'], foundAt: chosen, dump: finding.dump };
    const verdicts = finding.damaged ? ['mismatch', 'unreadable'] : ['mismatch'];
    return { ...base, verdicts, foundAt: finding.damaged ? undefined : chosen, dump: null };
  }
  // Step 3: anywhere else.
  const elsewhere = lowestElsewhere(one, path, null, setting);
  if (elsewhere === null) return { ...base, verdicts: ['missing'], foundAt: null, dump: null };
  const { dump } = content(one, fileAt(tree, elsewhere));
  return { ...base, verdicts: ['misplaced'], foundAt: elsewhere, dump };
}

/** Judges what stands at the expected path (or, with `case: ignore`, at a variant of it). */
function judgedAt(one: FirmwareModel, path: string, at: string, setting: Setting): Opinion {
  const base = { expectedPath: path };
  const file = usable(setting.tree, at);
  if (file === null) {
    const size = setting.tree.file(at)?.bytes.length;
    // A size that no dump has says enough; the file need not be opened to say it.
    const told =
      size !== undefined &&
      one.dumps.length > 0 &&
      one.dumps.every((dump) => dump.size !== null && dump.size !== size);
    if (told) {
      return { ...base, verdicts: ['unreadable', 'mismatch'], foundAt: undefined, dump: null };
    }
    return { ...base, verdicts: ['unreadable'], foundAt: at, dump: null };
  }
  const finding = content(one, file);
  if (finding.right) {
    const verdict = isPresenceOnly(one) ? 'unverified' : 'match';
    return { ...base, verdicts: [verdict], foundAt: at, dump: finding.dump };
  }
  if (finding.unproven) return { ...base, verdicts: ['unverified'], foundAt: at, dump: null };
  const elsewhere = lowestElsewhere(one, path, at, setting);
  if (finding.damaged) {
    return { ...base, verdicts: ['mismatch', 'unreadable'], foundAt: undefined, dump: null };
  }
  return { ...base, verdicts: ['mismatch'], foundAt: elsewhere ?? at, dump: null };
}

function lowestElsewhere(
  one: FirmwareModel,
  path: string,
  not: string | null,
  setting: Setting,
): string | null {
  const { tree } = setting;
  const found = [...tree.nodes.keys()]
    .filter((other) => other !== not && usable(tree, other) !== null)
    .filter((other) => isCandidate(one, path, other, setting))
    .filter((other) => isRight(one, fileAt(tree, other)))
    .sort(byUtf8);
  return found[0] ?? null;
}

function isCandidate(one: FirmwareModel, path: string, other: string, setting: Setting): boolean {
  const sameName = sameUnderCase(nameOf(other), nameOf(path));
  if (isPresenceOnly(one)) return sameName;
  if (one.members !== null) return sameName || setting.wide;
  const { length } = fileAt(setting.tree, other).bytes;
  return one.dumps.some((dump) => {
    if (isSizeOnly(dump)) return false;
    if (dump.size !== null) return dump.size === length;
    return setting.wide || sameName || setting.folders.has(nfc(folderOf(other)));
  });
}

function isRight(one: FirmwareModel, file: FileNode): boolean {
  return content(one, file).right;
}

interface Content {
  readonly right: boolean;
  readonly dump: string | null;
  /** An archive whose damage may be called a mismatch or unreadable. */
  readonly damaged: boolean;
  /** No dump that gives a digest, but of a size that a dump gives without one. */
  readonly unproven: boolean;
}

function content(one: FirmwareModel, file: FileNode): Content {
  if (isPresenceOnly(one)) return { right: true, dump: null, damaged: false, unproven: false };
  if (one.members === null) {
    const index = one.dumps.findIndex((dump) => isDump(file.bytes, dump));
    const dump = one.dumps[index];
    const label = dump === undefined ? null : (dump.label ?? `#${index + 1}`);
    const right = dump !== undefined;
    const unproven =
      !right && one.dumps.some((each) => isSizeOnly(each) && each.size === file.bytes.length);
    return { right, dump: label, damaged: false, unproven };
  }
  const right = one.members.every((member) => hasMember(file, member));
  return { right, dump: null, damaged: !right, unproven: false };
}

function hasMember(file: FileNode, wanted: MemberModel): boolean {
  return (file.zip?.members ?? []).some(
    (member) =>
      member.path === wanted.path && wanted.dumps.some((dump) => isDump(member.bytes, dump)),
  );
}

/** A dump that proves nothing. */
function isSizeOnly({ digests }: DumpModel): boolean {
  return Object.keys(digests).length === 0;
}

function isDump(bytes: Uint8Array, dump: DumpModel): boolean {
  if (isSizeOnly(dump)) return false;
  if (dump.size !== null && dump.size !== bytes.length) return false;
  const digests = digestsOf(bytes);
  return Object.entries(dump.digests).every(
    ([name, hex]) => digests[name as keyof typeof digests] === hex,
  );
}

function isPresenceOnly(one: FirmwareModel): boolean {
  return one.members === null && one.dumps.length === 0;
}

/** The paths that are this one: itself, else those equal in Unicode normal form C. */
function atPath(tree: Tree, path: string): string[] {
  if (tree.nodes.has(path)) return [path];
  return [...tree.nodes.keys()].filter((other) => nfc(other) === nfc(path));
}

/** The file to read at a path; null when there is none or it cannot be read. */
function usable(tree: Tree, path: string): FileNode | null {
  const file = tree.file(path);
  return file === null || file.broken !== undefined ? null : file;
}

function fileAt(tree: Tree, path: string): FileNode {
  const file = usable(tree, path);
  if (file === null) throw new Error(`no file at ${JSON.stringify(path)}`);
  return file;
}

export function sameUnderCase(a: string, b: string): boolean {
  const escaped = Array.from(nfc(a), (character) => {
    return `\\u{${(character.codePointAt(0) ?? 0).toString(16)}}`;
  });
  return new RegExp(`^${escaped.join('')}$`, 'iu').test(nfc(b));
}

function sameButForCase(a: string, b: string): boolean {
  return nfc(a) !== nfc(b) && sameUnderCase(a, b);
}

function byUtf8(a: string, b: string): number {
  return Buffer.compare(Buffer.from(a), Buffer.from(b));
}

function nfc(text: string): string {
  return text.normalize('NFC');
}

function nameOf(path: string): string {
  return path.slice(path.lastIndexOf('/') + 1);
}

function folderOf(path: string): string {
  return path.slice(0, Math.max(0, path.lastIndexOf('/')));
}

const ANY = ['match', 'mismatch', 'misplaced', 'miscased', 'missing', 'unverified', 'unreadable'];

/** What counts as a file when a folder's files are counted. */
export function isFile(node: TreeNode): boolean {
  return node.kind === 'file' || (node.kind === 'link' && node.to !== null);
}
