import { baseName } from '../../text/path.js';
import { isId } from '../shape/id.js';
import { firmwareNamedBy, type Located, type WrittenFile } from '../written.js';
import type { CheckContext, CheckedRule } from './rule.js';

export const unknownFirmware: CheckedRule = {
  id: 'unknown-firmware',
  severity: 'error',
  description: 'A system names only firmware that one of the manifests defines.',
  check(context) {
    const { files, complete, problems } = context;
    if (!complete || files.some(({ sections }) => sections.firmware === 'lost')) return;
    for (const { id, found, meant } of firmwareReferences(context)) {
      if (found === 'id') continue;
      if (found === 'path') {
        problems.add(unknownFirmware, id.spot, {
          message: `"${id.value}" is a path; a system names firmware by its id.`,
          suggestion: meant,
        });
      } else if (isId(id.value)) {
        problems.add(unknownFirmware, id.spot, {
          message: `No firmware "${id.value}" is defined.`,
          suggestion: meant,
        });
      }
    }
  },
};

export const unknownSystem: CheckedRule = {
  id: 'unknown-system',
  severity: 'error',
  description: 'A loadout names only systems that one of the manifests defines.',
  check({ files, complete, problems, suggester }) {
    if (!complete || files.some(({ sections }) => sections.systems === 'lost')) return;
    const known = new Set(files.flatMap((file) => file.systems.map(({ id }) => id.value)));
    for (const loadout of files.flatMap((file) => file.loadouts)) {
      for (const id of loadout.systems) {
        if (known.has(id.value) || !isId(id.value)) continue;
        problems.add(unknownSystem, id.spot, {
          message: `No system "${id.value}" is defined.`,
          suggestion: suggester.nearest(id.value, known),
        });
      }
    }
  },
};

export const unusedFirmware: CheckedRule = {
  id: 'unused-firmware',
  severity: 'warning',
  description: 'Every firmware is named by a system.',
  check(context) {
    const { files, complete, problems } = context;
    // A reference that could not be read may have been to any of them.
    if (!complete || files.some(({ sections }) => sections.systems !== 'whole')) return;
    // One named with a slip, which is reported there, is named.
    const named = new Set(firmwareReferences(context).map(({ meant }) => meant));
    for (const { id } of files.flatMap((file) => file.firmware)) {
      if (named.has(id.value) || !isId(id.value)) continue;
      problems.add(unusedFirmware, id.spot, {
        message: `No system names the firmware "${id.value}", so it is never checked.`,
      });
    }
  },
};

/** A place where a system names firmware. */
interface Reference {
  readonly id: Located<string>;
  /** What of an entry stands there. */
  readonly found: 'id' | 'path' | null;
  /** The id of that entry; where there is none, the nearest id, or null. */
  readonly meant: string | null;
}

/** Several rules ask for the references in the same files. */
const asked = new WeakMap<readonly WrittenFile[], readonly Reference[]>();

function firmwareReferences({
  files,
  suggester,
}: Pick<CheckContext, 'files' | 'suggester'>): readonly Reference[] {
  const made = asked.get(files);
  if (made !== undefined) return made;
  const known = new Set(files.flatMap((file) => file.firmware.map(({ id }) => id.value)));
  let paths: ReadonlyMap<string, string> | null = null;
  const references = files
    .flatMap((file) => file.systems)
    .flatMap(firmwareNamedBy)
    .map((id): Reference => {
      if (known.has(id.value)) return { id, found: 'id', meant: id.value };
      const withPath = (paths ??= idsByPath(files)).get(id.value);
      if (withPath !== undefined) return { id, found: 'path', meant: withPath };
      const meant = isId(id.value) ? suggester.nearest(id.value, known) : null;
      return { id, found: null, meant };
    });
  asked.set(files, references);
  return references;
}

/** By path and by file name alone; of several the first. */
function idsByPath(files: readonly WrittenFile[]): Map<string, string> {
  const ids = new Map<string, string>();
  for (const { id, path } of files.flatMap((file) => file.firmware)) {
    if (path === null) continue;
    for (const name of [path.value, baseName(path.value)]) {
      if (!ids.has(name)) ids.set(name, id.value);
    }
  }
  return ids;
}
