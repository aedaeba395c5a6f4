import type { Digests } from '../digest/engine.js';

/** One file of the folder as a firmware entry. */
export interface DraftedFirmware {
  readonly id: string;
  /** '/'-joined, relative to the folder. */
  readonly path: string;
  /** Bytes. */
  readonly size: number;
  /** All algorithms. */
  readonly digests: Digests;
}

/** One sub-folder as a system. */
export interface DraftedSystem {
  readonly id: string;
  readonly name: string;
  /** Firmware ids in path order. */
  readonly requires: readonly string[];
}

/** Something in the folder that is not in the draft, and why. */
export interface LeftOut {
  readonly path: string;
  /** One plain sentence. */
  readonly reason: string;
}

export interface Drafted {
  readonly title: string;
  /** In path order. */
  readonly firmware: readonly DraftedFirmware[];
  /** In path order of their folders. */
  readonly systems: readonly DraftedSystem[];
  /** In path order. */
  readonly leftOut: readonly LeftOut[];
}
