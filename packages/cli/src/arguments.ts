import { FirmtallyError } from '@firmtally/core';

/** Which systems of the manifests a command is about. */
export interface SelectedSystems {
  /** Null: all. */
  readonly systems: readonly string[] | null;
  readonly loadout: string | null;
}

/** Reads what yargs parsed for one command. Every method throws FirmtallyError('usage') for what cannot be meant. */
export class Arguments {
  readonly #values: Readonly<Record<string, unknown>>;
  readonly #command: string;
  readonly #positional: string;

  /** @param positional name of the command's operand, which is written `<name>` and not `--name` */
  constructor(values: Readonly<Record<string, unknown>>, command: string, positional: string) {
    this.#values = values;
    this.#command = command;
    this.#positional = positional;
  }

  flag(name: string): boolean {
    return this.#values[name] === true;
  }

  /** As given; empty when it is not. */
  list(name: string): readonly string[] {
    const value = this.#values[name];
    if (value === undefined) return [];
    return (Array.isArray(value) ? value : [value]).map(String);
  }

  /** The same, where an empty text names nothing. */
  names(name: string): readonly string[] {
    const values = this.list(name);
    if (values.includes('')) throw this.#empty(name);
    return values;
  }

  /** Null when it is not given. */
  single(name: string): string | null {
    const values = this.names(name);
    if (values.length > 1) {
      throw usage(`${this.#written(name)} is given more than once`, 'Give it once.');
    }
    return values[0] ?? null;
  }

  /** `--system` and `--loadout`. */
  selectedSystems(): SelectedSystems {
    const given = this.list('system');
    const systems = given.flatMap((value) => value.split(',')).map((id) => id.trim());
    const loadout = this.single('loadout');
    if (systems.includes('')) {
      throw usage('--system wants ids of systems', 'Write for example: --system osprey,kestrel');
    }
    if (given.length > 0 && loadout !== null) {
      throw usage(
        '--system and --loadout exclude each other',
        'A loadout is a list of systems already: give one of the two.',
      );
    }
    return { systems: given.length === 0 ? null : systems, loadout };
  }

  #empty(name: string): FirmtallyError {
    return usage(`${this.#written(name)} is empty`, `See: firmtally ${this.#command} --help`);
  }

  #written(name: string): string {
    return name === this.#positional ? `<${name}>` : `--${name}`;
  }
}

export function usage(message: string, remedy: string): FirmtallyError {
  return new FirmtallyError('usage', message, remedy);
}
