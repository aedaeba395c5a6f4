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

/** Stable ids of what is wrong with a name. */
export type FatRule =
  | 'fat-character'
  | 'fat-name-length'
  | 'fat-path-length'
  | 'fat-trailing'
  | 'fat-reserved-name'
  | 'fat-not-unicode';

/** One thing that keeps a path off a FAT32 card. */
export interface FatViolation {
  readonly rule: FatRule;
  /** One plain sentence; names in it are as they were given, not escaped. */
  readonly message: string;
}

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
    violations.push({
      rule: 'fat-path-length',
      message: `The path has ${path.length} UTF-16 units; at most ${FAT_MAX_PATH} fit behind a drive letter.`,
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
      rule: 'fat-character',
      message: `FAT32 names cannot hold ${describe(illegal)}, as in "${name}".`,
    });
  }
  if (NOT_UNICODE.test(name)) {
    violations.push({
      rule: 'fat-not-unicode',
      message: `FAT32 names are Unicode; "${name}" is not.`,
    });
  }
  if (name.length > FAT_MAX_NAME) {
    violations.push({
      rule: 'fat-name-length',
      message: `FAT32 names have at most ${FAT_MAX_NAME} UTF-16 units; "${name}" has ${name.length}.`,
    });
  }
  if (IGNORED_AT_END.test(name)) {
    violations.push({
      rule: 'fat-trailing',
      message: `FAT32 ignores dots and spaces at the end of a name, so "${name}" would get another name.`,
    });
  }
  const base = name.split('.', 1)[0] ?? '';
  if (DEVICE.test(base.trimEnd())) {
    violations.push({
      rule: 'fat-reserved-name',
      message: `Windows keeps the name ${base.trimEnd().toUpperCase()} for a device, so "${name}" cannot be used there.`,
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
