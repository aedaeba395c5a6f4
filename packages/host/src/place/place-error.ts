import { ReadError, sentence } from '@firmtally/core';

/** Why one step was not done, or why no further step is. */
export type StopCode = 'no-space' | 'read-only' | 'card-gone' | 'interrupted';

/** One step cannot be done; the card holds what it held. `message` is one plain sentence. */
export class StepFailure extends Error {
  override readonly name = 'StepFailure';
}

/** Nothing more can be done. `message` is one plain sentence. */
export class PlaceStopped extends Error {
  override readonly name = 'PlaceStopped';
  readonly code: StopCode;
  constructor(code: StopCode, message: string, options?: ErrorOptions) {
    super(message, options);
    this.code = code;
  }
}

const STOPPING: Readonly<Record<string, readonly [StopCode, string]>> = {
  ENOSPC: ['no-space', 'The card is full.'],
  EDQUOT: ['no-space', 'The disk quota on the card is used up.'],
  EROFS: [
    'read-only',
    'The card is read-only: slide its lock switch, or mount it so that it can be written.',
  ],
  ENODEV: ['card-gone', 'The card is no longer there.'],
  ESTALE: ['card-gone', 'The card is no longer there.'],
  ENXIO: ['card-gone', 'The card is no longer there.'],
};

const FAILING: Readonly<Record<string, string>> = {
  EACCES: 'No permission to write there.',
  EPERM: 'No permission to write there.',
  ENOENT: 'Something vanished from the card meanwhile.',
  ENOTDIR: 'A folder on the way is not a folder any more.',
  EEXIST: 'Something else has taken the name meanwhile.',
  ENOTEMPTY: 'Something else has taken the name meanwhile.',
  EIO: 'The drive failed (EIO): it may be worn out; use another card.',
  EFBIG: "The file is larger than the card's file system allows.",
  ENAMETOOLONG: "The name is longer than the card's file system allows.",
  EINVAL: "The card's file system refuses this name.",
  EILSEQ: "The card's file system refuses this name.",
  EBUSY: 'Another program is using the file.',
  ELOOP: 'A link has taken the place of a file or folder.',
};

/** Windows says both of a file that another program has open, patiently tried or not. */
const WINDOWS_REFUSES =
  'Windows does not allow it: another program has the file open, or it may not be written.';

/** Any error of a step as one of the two above. */
export function toPlaceError(
  error: unknown,
  platform: string = process.platform,
): StepFailure | PlaceStopped {
  if (error instanceof StepFailure || error instanceof PlaceStopped) return error;
  if (error instanceof ReadError) return new StepFailure(sentence(error.message), { cause: error });
  const code = (error as NodeJS.ErrnoException).code ?? '';
  const stopping = STOPPING[code];
  if (stopping !== undefined) return new PlaceStopped(...stopping, { cause: error });
  const refused = platform === 'win32' && (code === 'EPERM' || code === 'EACCES');
  const known = refused ? WINDOWS_REFUSES : FAILING[code];
  if (known !== undefined) return new StepFailure(known, { cause: error });
  // Not an error of the file system: a fault of this program must not pass for one of the card.
  if (code === '') throw error;
  return new StepFailure(`The system answered ${code}.`, { cause: error });
}
