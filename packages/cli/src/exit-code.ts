/** The diff/grep convention: 0 all good, 1 something differs, 2 trouble. */
export const EXIT = { good: 0, differs: 1, trouble: 2 } as const;
export type ExitCode = (typeof EXIT)[keyof typeof EXIT];
