import type { DamageDetector } from '../subject.js';
import { byteSwapped } from './byte-swapped.js';
import { doubled } from './doubled.js';
import { extraHeader } from './extra-header.js';
import { halvesInterleaved } from './halves-interleaved.js';
import { padded } from './padded.js';
import { textMangled } from './text-mangled.js';
import { wordSwapped } from './word-swapped.js';

/**
 * Damage to the bytes themselves. Before `padded` and `extra-header` comes
 * `doubled`, which is a special case of both.
 */
export const DAMAGE_DETECTORS: readonly DamageDetector[] = [
  doubled,
  padded,
  extraHeader,
  byteSwapped,
  wordSwapped,
  halvesInterleaved,
  textMangled,
];
