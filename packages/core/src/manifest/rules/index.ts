import type { CheckedRule } from './check.js';
import type { Rule } from './rule.js';
import { aliasLimit } from './alias-limit.js';
import { badId } from './bad-id.js';
import { caseClash } from './case-clash.js';
import { contradictingDumps } from './contradicting-dumps.js';
import { controlCharacter } from './control-character.js';
import { digestCharacters } from './digest-characters.js';
import { digestLength } from './digest-length.js';
import { doubledFolder } from './doubled-folder.js';
import { duplicateKey } from './duplicate-key.js';
import { emptyInputDigest } from './empty-input-digest.js';
import { emptyList } from './empty-list.js';
import { emptyManifest } from './empty-manifest.js';
import { idConflict } from './id-conflict.js';
import { keyNotText } from './key-not-text.js';
import { loadoutLimit } from './loadout-limit.js';
import { membersAndDumps } from './members-and-dumps.js';
import { mergeKey } from './merge-key.js';
import { missingKey } from './missing-key.js';
import { noDigest } from './no-digest.js';
import { notAManifest } from './not-a-manifest.js';
import { notUtf8 } from './not-utf8.js';
import { pathConflict } from './path-conflict.js';
import { repeatedDump } from './repeated-dump.js';
import { repeatedId } from './repeated-id.js';
import { repeatedMember } from './repeated-member.js';
import { severalDocuments } from './several-documents.js';
import { sizeOnly } from './size-only.js';
import { tooDeep } from './too-deep.js';
import { tooLarge } from './too-large.js';
import { tooManyProblems } from './too-many-problems.js';
import { unknownAlias } from './unknown-alias.js';
import { unknownFirmware } from './unknown-firmware.js';
import { unknownKey } from './unknown-key.js';
import { unknownSystem } from './unknown-system.js';
import { unportablePath } from './unportable-path.js';
import { unsafePath } from './unsafe-path.js';
import { unusedFirmware } from './unused-firmware.js';
import { wrongType } from './wrong-type.js';
import { wrongValue } from './wrong-value.js';
import { wrongVersion } from './wrong-version.js';
import { yamlSyntax } from './yaml-syntax.js';
import { yamlTag } from './yaml-tag.js';
import { zeroSize } from './zero-size.js';

/** Rules that look at the sound parts of all files together. */
export const CHECKED_RULES: readonly CheckedRule[] = [
  unsafePath,
  unportablePath,
  doubledFolder,
  digestCharacters,
  digestLength,
  noDigest,
  sizeOnly,
  emptyInputDigest,
  zeroSize,
  repeatedDump,
  contradictingDumps,
  repeatedId,
  repeatedMember,
  membersAndDumps,
  idConflict,
  unknownFirmware,
  unknownSystem,
  unusedFirmware,
  loadoutLimit,
  pathConflict,
  caseClash,
];

/** Every rule: those of reading the text, those of its shape, and those above. */
export const RULES: readonly Rule[] = [
  tooLarge,
  notUtf8,
  controlCharacter,
  emptyManifest,
  notAManifest,
  yamlSyntax,
  tooDeep,
  severalDocuments,
  yamlTag,
  mergeKey,
  keyNotText,
  duplicateKey,
  unknownAlias,
  aliasLimit,
  wrongVersion,
  missingKey,
  unknownKey,
  wrongType,
  wrongValue,
  emptyList,
  badId,
  ...CHECKED_RULES,
  tooManyProblems,
];
