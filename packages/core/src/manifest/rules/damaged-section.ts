import type { Problem } from '../problem.js';
import { unknownKey } from './unknown-key.js';
import { wrongType } from './wrong-type.js';

/**
 * Whether a whole section (`firmware`, `systems`) could not be read because
 * its key is misspelt or its value of the wrong type: then nothing can be
 * called undefined on account of it.
 */
export function isSectionDamaged(problems: readonly Problem[], section: string): boolean {
  return problems.some(
    ({ rule, pointer, suggestion }) =>
      (rule === unknownKey.id && suggestion === section && isTopLevel(pointer)) ||
      (rule === wrongType.id && (pointer === '' || pointer === `/${section}`)),
  );
}

/** Whether something inside a section was left out for its key or type. */
export function hasDamage(problems: readonly Problem[], section: string): boolean {
  return (
    isSectionDamaged(problems, section) ||
    problems.some(
      ({ rule, pointer }) =>
        (rule === unknownKey.id || rule === wrongType.id) && pointer.startsWith(`/${section}/`),
    )
  );
}

function isTopLevel(pointer: string): boolean {
  return pointer.lastIndexOf('/') === 0;
}
