import { FirmtallyError } from '../errors.js';
import { escapeText } from '../text/escape.js';

/** The parts of a caller's own that can fail, and what is asked of each. */
const PARTS = {
  'engine-invalid': {
    name: 'digest engine',
    remedy:
      'An engine gives each digest asked for as lower-case hex, and throws a ReadError for a file that cannot be read.',
  },
  'archives-invalid': {
    name: 'archive reader',
    remedy: 'An archive reader throws a ReadError for an archive that cannot be read.',
  },
} as const;

/** A part of the platform gave what none may, or threw something of its own. Whoever knows the file says which it was. */
export class PlatformFailure extends FirmtallyError {
  declare readonly code: keyof typeof PARTS;
  constructor(code: keyof typeof PARTS, reason: unknown, path: string | null = null) {
    const { name, remedy } = PARTS[code];
    const why = reason instanceof Error ? reason.message : String(reason);
    const where = path === null ? '' : `${escapeText(path)}: `;
    super(code, `${where}the ${name} failed: ${escapeText(why)}`, remedy, { cause: reason });
  }
}

/** Names the file in a failure of the platform while it was read. */
export async function naming<Result>(path: string, reading: Promise<Result>): Promise<Result> {
  try {
    return await reading;
  } catch (error) {
    if (!(error instanceof PlatformFailure)) throw error;
    throw new PlatformFailure(error.code, error.cause, path);
  }
}
