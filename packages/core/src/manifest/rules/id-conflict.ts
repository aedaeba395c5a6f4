import { toFirmware, toLoadout, toSystem } from '../build.js';
import type { WrittenFile, Located } from '../written.js';
import type { CheckedRule } from './check.js';

interface Definition {
  readonly id: Located<string>;
  /** Equal texts mean equal definitions. */
  readonly content: () => string;
}

export const idConflict: CheckedRule = {
  id: 'id-conflict',
  severity: 'error',
  description: 'An id that several manifests define is defined in the same way.',
  check({ files, problems }) {
    for (const [noun, definitions] of [
      ['firmware', (file: WrittenFile) => file.firmware.map((d) => define(d, toFirmware))],
      ['system', (file: WrittenFile) => file.systems.map((d) => define(d, toSystem))],
      ['loadout', (file: WrittenFile) => file.loadouts.map((d) => define(d, toLoadout))],
    ] as const) {
      const seen = new Map<string, Definition>();
      for (const definition of files.flatMap<Definition>(definitions)) {
        const { id } = definition;
        const first = seen.get(id.value);
        if (first === undefined) seen.set(id.value, definition);
        else if (first.content() !== definition.content()) {
          problems.add(idConflict, id.spot, {
            message: `The ${noun} "${id.value}" is defined differently in another manifest.`,
            advice: 'rename one, or make both the same',
            related: [{ message: 'the other definition is here', spot: first.id.spot }],
          });
        }
      }
    }
  },
};

/** Everything but where it stands counts; the manifest's own folder and case too, as they say where the file belongs. */
function define<W extends { readonly id: Located<string> }>(
  written: W,
  toModel: (written: W) => object,
): Definition {
  return { id: written.id, content: () => JSON.stringify(toModel(written), comparable) };
}

function comparable(key: string, value: unknown): unknown {
  if (key === 'location') return undefined;
  return value instanceof Map ? [...(value as ReadonlyMap<unknown, unknown>)] : value;
}
