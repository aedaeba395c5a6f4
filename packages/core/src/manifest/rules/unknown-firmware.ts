import { baseName } from '../../text/path.js';
import { firmwareNamedBy, type WrittenFile } from '../written.js';
import type { CheckedRule } from './check.js';
import { isSectionDamaged } from './damaged-section.js';
import { isId } from '../shape/id.js';

export const unknownFirmware: CheckedRule = {
  id: 'unknown-firmware',
  severity: 'error',
  description: 'A system names only firmware that one of the manifests defines.',
  check({ files, complete, problems, suggester }) {
    if (!complete || isSectionDamaged(problems.all, 'firmware')) return;
    const known = new Set(files.flatMap((file) => file.firmware.map(({ id }) => id.value)));
    let paths: ReadonlyMap<string, string> | null = null;
    const byPath = (): ReadonlyMap<string, string> => (paths ??= idsByPath(files));
    for (const system of files.flatMap((file) => file.systems)) {
      for (const id of firmwareNamedBy(system)) {
        if (known.has(id.value)) continue;
        const withPath = byPath().get(id.value);
        if (withPath !== undefined) {
          problems.add(unknownFirmware, id.spot, {
            message: `"${id.value}" is a path; a system names firmware by its id.`,
            suggestion: withPath,
          });
          continue;
        }
        if (!isId(id.value)) continue;
        problems.add(unknownFirmware, id.spot, {
          message: `No firmware "${id.value}" is defined.`,
          suggestion: suggester.nearest(id.value, known),
        });
      }
    }
  },
};

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
