import type { TaskOptions } from '../bytes/progress.js';
import type { Platform } from './engine.js';

/** Files read at the same time when nobody says. */
export const USUAL_JOBS = 8;

/** Given to every task that reads files of a source. */
export interface SourceTaskOptions extends TaskOptions {
  /** How bytes are hashed, and whether ZIPs are opened. */
  readonly platform: Platform;
  /** Files read at the same time, at most; 8 when not given. */
  readonly jobs?: number | undefined;
}
