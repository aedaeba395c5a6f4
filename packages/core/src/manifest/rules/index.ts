import { tooManyProblems } from './problem-list.js';
import type { Rule } from '../problem.js';
import type { CheckedRule } from './rule.js';
import { idConflict, repeatedId } from './definitions.js';
import { digestCharacters, digestLength, emptyInputDigest } from './digests.js';
import { contradictingDumps, noDigest, repeatedDump, sizeOnly, zeroSize } from './dumps.js';
import { caseClash, loadoutLimit, pathConflict } from './expected-paths.js';
import { membersAndDumps, repeatedMember } from './members.js';
import { doubledFolder, typographicQuotes, unportablePath, unsafePath } from './paths.js';
import { unknownFirmware, unknownSystem, unusedFirmware } from './references.js';
import {
  badId,
  emptyList,
  missingKey,
  unknownKey,
  wrongType,
  wrongValue,
  wrongVersion,
} from './shape.js';
import {
  controlCharacter,
  emptyManifest,
  notAManifest,
  notUtf8,
  postedList,
  severalDocuments,
  tooLarge,
} from './whole-file.js';
import {
  aliasLimit,
  duplicateKey,
  keyNotText,
  mergeKey,
  tooDeep,
  unknownAlias,
  yamlSyntax,
  yamlTag,
} from './yaml.js';

/** Rules that look at the sound parts of all files together. */
export const CHECKED_RULES: readonly CheckedRule[] = [
  unsafePath,
  unportablePath,
  doubledFolder,
  typographicQuotes,
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
  postedList,
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
