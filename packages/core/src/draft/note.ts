/** What a note is about: those of one code say the same of different lines or files. */
export type NoteCode =
  | 'rounded-size'
  | 'no-size'
  | 'doubtful-size'
  | 'doubtful-number'
  | 'required-unsaid'
  | 'unused-column'
  | 'other-checksum'
  | 'unlabelled-dumps'
  | 'label-twice'
  | 'dump-slip'
  | 'labelled-alike'
  | 'empty-member';

/** Something worth knowing of what is in the draft. */
export interface Note {
  readonly code: NoteCode;
  /** One plain sentence. */
  readonly message: string;
}

export function note(code: NoteCode, message: string): Note {
  return { code, message };
}
