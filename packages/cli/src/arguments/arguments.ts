import { FirmtallyError } from '@firmtally/core';

/** Which systems of the manifests a command is about. */
export interface SelectedSystems {
  /** Null: all. */
  readonly systems: readonly string[] | null;
  readonly loadout: string | null;
}

/** What one command line gives: every value is there as often as it may be, and is one of its choices. */
export class Arguments {
  readonly operands: readonly string[];
  readonly #options: ReadonlyMap<string, readonly string[]>;
  readonly #flags: ReadonlySet<string>;

  constructor(
    operands: readonly string[],
    options: ReadonlyMap<string, readonly string[]>,
    flags: ReadonlySet<string>,
  ) {
    this.operands = operands;
    this.#options = options;
    this.#flags = flags;
  }

  /** The one operand of a command that requires one. */
  get operand(): string {
    const [operand] = this.operands;
    if (operand === undefined) throw new Error('no operand, though one was required');
    return operand;
  }

  withOperands(operands: readonly string[]): Arguments {
    return new Arguments(operands, this.#options, this.#flags);
  }

  flag(name: string): boolean {
    return this.#flags.has(name);
  }

  /** In the order given; empty when it is not. */
  texts(name: string): readonly string[] {
    return this.#options.get(name) ?? [];
  }

  /** Null when it is not given. */
  text(name: string): string | null {
    return this.texts(name)[0] ?? null;
  }

  /** The value given or by default, of the choices that the option declares. */
  choice<T extends string>(name: string, choices: readonly T[]): T {
    const value = choices.find((choice) => choice === this.text(name));
    if (value === undefined) throw new Error(`--${name} was let through with another value`);
    return value;
  }

  /** `--system` and `--loadout`. Throws FirmtallyError('usage'). */
  selectedSystems(): SelectedSystems {
    const given = this.texts('system');
    const systems = given.flatMap((value) => value.split(',')).map((id) => id.trim());
    const loadout = this.text('loadout');
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
}

export function usage(message: string, remedy: string | null = null): FirmtallyError {
  return new FirmtallyError('usage', message, remedy);
}
