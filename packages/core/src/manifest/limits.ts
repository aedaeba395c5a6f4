/**
 * Bytes of one manifest file. The yaml library's syntax tree takes some 170
 * times the text (measured), so this bounds memory at about 700 MB; ten
 * thousand entries with three digests each fit in half of it.
 */
export const MAX_MANIFEST_BYTES = 4 * 1024 * 1024;

/**
 * Words, marks, spaces and line breaks that the YAML lexer finds in one file.
 * 4 MiB of entries have 1.1 million when written line by line and 2.3 million
 * when written in brackets; a list of one-letter ids would have six million,
 * and take 3 GB.
 */
export const MAX_LEXEMES = 2_500_000;

/** Levels of nesting. A manifest needs 8; the limit only keeps recursion safe. */
export const MAX_DEPTH = 60;

/** Values that aliases may add to a file by repeating anchored ones. */
export const MAX_ALIASED_VALUES = 100_000;

/** Entries that loadouts with a folder of their own may name, all together: each is looked at once for each loadout. */
export const MAX_LOADOUT_ENTRIES = 1_000_000;

/** Problems of one severity that are kept in one run; they have their limits apart, so that warnings hide no error. */
export const MAX_PROBLEMS = 10_000;

/** Names compared in one run to find nearest ones; each comparison takes some microseconds. */
export const MAX_NAME_COMPARISONS = 50_000;
