/**
 * What a FAT32 card can hold. Sources:
 * - [FAT] Microsoft, "FAT: General Overview of On-Disk Format" (FAT32 File
 *   System Specification, fatgen103, version 1.03, 2000-12-06), parts "Short
 *   Directory Entries" and "Name Limits and Character Sets".
 * - [NAMES] Microsoft, "Naming Files, Paths, and Namespaces" (Windows App
 *   Development), part "Naming Conventions".
 */
/** Bytes of the largest file: DIR_FileSize is a 32-bit field ([FAT]), so 4 GiB - 1. */
export const FAT_MAX_FILE_SIZE = 0xffff_ffff;

/** UTF-16 units of the longest name ([FAT]: 255 characters, without the trailing NUL). */
export const FAT_MAX_NAME = 255;

/** UTF-16 units of the longest path ([FAT]: 260 with the trailing NUL), less drive letter, colon and first separator. */
export const FAT_MAX_PATH = 260 - 1 - 'X:\\'.length;

/** What keeps a name or path off a FAT32 card, by code; names are as they were given, not escaped. */
export interface FatValues {
  /** The name holds a character that long names cannot. */
  readonly 'fat-character': { readonly name: string; readonly character: string };
  /** The name has too many UTF-16 units. */
  readonly 'fat-name-length': {
    readonly name: string;
    readonly length: number;
    readonly limit: number;
  };
  /** The path has too many UTF-16 units. */
  readonly 'fat-path-length': { readonly length: number; readonly limit: number };
  /** Dots or spaces at the end of the name would be lost. */
  readonly 'fat-trailing': { readonly name: string };
  /** Windows keeps the name for a device. */
  readonly 'fat-reserved-name': { readonly name: string; readonly device: string };
  /** The name is not Unicode. */
  readonly 'fat-not-unicode': { readonly name: string };
}

/** Stable codes of what is wrong with a name. */
export type FatCode = keyof FatValues;

/** One thing that keeps a path off a FAT32 card: its code, its values, and a plain English sentence made from them. */
export type FatViolation = {
  [Code in FatCode]: { readonly code: Code; readonly text: string } & FatValues[Code];
}[FatCode];

/** [FAT]: not allowed even in long names; codes below 0x20 neither. '/' separates names here. */
const ILLEGAL = /["*:<>?\\|\u0000-\u001f]/u;

/** [FAT]: trailing periods and spaces of a long name are ignored, so another name would be stored. */
const IGNORED_AT_END = /[. ]$/;

/** [NAMES]: device names, also with any extension; the superscript digits count as digits there. */
const DEVICE = /^(?:con|prn|aux|nul|(?:com|lpt)[0-9\u00b9\u00b2\u00b3])$/i;

/** A lone surrogate: bytes that are not UTF-8 (see bytes/source.ts), which long names (UTF-16) cannot express. */
const NOT_UNICODE = /\p{Surrogate}/u;

/** Everything about a '/'-joined path that a FAT32 card, or Windows reading it, cannot hold; empty when it is fine. */
export function checkFatPath(path: string): FatViolation[] {
  const violations = path.split('/').flatMap(checkFatName);
  if (path.length > FAT_MAX_PATH) {
    const { length } = path;
    const limit = FAT_MAX_PATH;
    violations.push({
      code: 'fat-path-length',
      text: `The path has ${String(length)} UTF-16 units; at most ${String(limit)} fit behind a drive letter.`,
      length,
      limit,
    });
  }
  return violations;
}

/** The same for one name, without separators. */
export function checkFatName(name: string): FatViolation[] {
  const violations: FatViolation[] = [];
  const illegal = ILLEGAL.exec(name)?.[0];
  if (illegal !== undefined) {
    violations.push({
      code: 'fat-character',
      text: `FAT32 names cannot hold ${describe(illegal)}, as in "${name}".`,
      name,
      character: illegal,
    });
  }
  if (NOT_UNICODE.test(name)) {
    violations.push({
      code: 'fat-not-unicode',
      text: `FAT32 names are Unicode; "${name}" is not.`,
      name,
    });
  }
  if (name.length > FAT_MAX_NAME) {
    const { length } = name;
    const limit = FAT_MAX_NAME;
    violations.push({
      code: 'fat-name-length',
      text: `FAT32 names have at most ${String(limit)} UTF-16 units; "${name}" has ${String(length)}.`,
      name,
      length,
      limit,
    });
  }
  if (IGNORED_AT_END.test(name)) {
    violations.push({
      code: 'fat-trailing',
      text: `FAT32 ignores dots and spaces at the end of a name, so "${name}" would get another name.`,
      name,
    });
  }
  const base = name.split('.', 1)[0] ?? '';
  if (DEVICE.test(base.trimEnd())) {
    const device = base.trimEnd().toUpperCase();
    violations.push({
      code: 'fat-reserved-name',
      text: `Windows keeps the name ${device} for a device, so "${name}" cannot be used there.`,
      name,
      device,
    });
  }
  return violations;
}

function describe(character: string): string {
  const code = character.charCodeAt(0);
  return code < 0x20
    ? `control characters (0x${code.toString(16).padStart(2, '0')})`
    : `the character ${character}`;
}
