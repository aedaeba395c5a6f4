import { escapeText } from '@firmtally/core';
import { Turns } from '@firmtally/core/internal';
import { byId, make } from './dom.js';
import type { AuditChoices, Named, NeedsAnswer } from './worker/protocol.js';

/** What of the manifest is to be audited, and how: the loadout, and what is behind "More choices". */
export class Choices {
  readonly #loadout = byId('loadout', HTMLSelectElement);
  readonly #more = byId('more', HTMLDetailsElement);
  readonly #systems = byId('choose-systems', HTMLDivElement);
  readonly #box = byId('choose-systems-box', HTMLFieldSetElement);
  readonly #flags = {
    wide: byId('choose-wide', HTMLInputElement),
    strict: byId('choose-strict', HTMLInputElement),
    strays: byId('choose-strays', HTMLInputElement),
  };
  #named: readonly Named[] = [];
  #isShown = true;

  /** @param onChange is told when the person chose something else */
  constructor(onChange: () => void) {
    // One or the other, as the command has it.
    this.#loadout.addEventListener('change', () => {
      if (this.#loadout.value !== '') for (const box of this.#ticked()) box.checked = false;
      onChange();
    });
    this.#more.addEventListener('change', () => {
      if (this.#ticked().length > 0) this.#loadout.value = '';
      onChange();
    });
    this.#more.addEventListener('toggle', () => void this.#showSystems());
  }

  /** Offers what another manifest has; what was chosen of the last one is gone. */
  offer({ loadouts, systems }: Pick<NeedsAnswer, 'loadouts' | 'systems'>): void {
    this.#loadout.replaceChildren(make('option', 'All systems', { value: '' }));
    for (const { id, name } of loadouts) {
      this.#loadout.append(make('option', name, { value: id }));
    }
    this.#systems.replaceChildren();
    this.#named = systems;
    this.#isShown = false;
    this.#box.hidden = systems.length === 0;
    void this.#showSystems();
  }

  enable(isEnabled: boolean): void {
    this.#loadout.disabled = !isEnabled || this.#loadout.options.length < 2;
  }

  get chosen(): AuditChoices {
    const systems = this.#ticked().map(({ value }) => value);
    const { wide, strict, strays } = this.#flags;
    return {
      loadout: this.#loadout.value === '' ? null : this.#loadout.value,
      systems: systems.length === 0 ? null : systems,
      wide: wide.checked,
      strict: strict.checked,
      strays: strays.checked,
    };
  }

  #ticked(): HTMLInputElement[] {
    return [...this.#systems.querySelectorAll('input')].filter(({ checked }) => checked);
  }

  /** Only where somebody looks, and in turns: a manifest may have thousands. */
  async #showSystems(): Promise<void> {
    if (!this.#more.open || this.#isShown) return;
    this.#isShown = true;
    const named = this.#named;
    const turns = new Turns();
    for (const { id, name } of named) {
      if (turns.isDue()) await turns.next();
      if (named !== this.#named) return;
      const box = make('input', [], { type: 'checkbox', value: id });
      // Set as it is: an attribute would be escaped for the eye.
      box.value = id;
      const text = [
        make(
          'span',
          name === id ? id : [document.createTextNode(escapeText(`${name} `)), make('small', id)],
        ),
      ];
      this.#systems.append(make('label', [box, ...text], { class: 'tick' }));
    }
  }
}
