import type { Firmware, Loadout, System } from './model.js';

/** What the person asked for; all systems when neither is given. */
export interface SelectionRequest {
  /** Ids of systems. */
  readonly systems?: readonly string[] | undefined;
  /** Id of a loadout. */
  readonly loadout?: string | null | undefined;
}

/** A firmware entry together with where it is expected under the root. */
export interface ExpectedFirmware {
  readonly firmware: Firmware;
  /** '/'-joined, relative to the root. */
  readonly expectedPath: string;
}

/** The systems to judge and the firmware they name, both in id order. */
export interface Selection {
  readonly systems: readonly System[];
  readonly loadout: Loadout | null;
  readonly firmware: readonly ExpectedFirmware[];
}
