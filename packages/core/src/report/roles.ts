import type { Met, SystemRow } from '../judge/readiness.js';

/** What a firmware is to a system. */
export interface Role {
  readonly id: string;
  readonly role: 'required' | 'any-of' | 'optional';
  /** How the requirement is met, of which an any-of's firmware is one way. */
  readonly met: Met;
}

/** Every firmware of a system, in listed order, once for each role. */
export function rolesOf(system: SystemRow): readonly Role[] {
  const required = system.requires.flatMap((item): Role[] =>
    'firmware' in item
      ? [{ id: item.firmware, role: 'required', met: item.met }]
      : item.anyOf.map((id) => ({ id, role: 'any-of', met: item.met })),
  );
  const optional = system.optionalFirmware.map(({ firmware, met }): Role => ({
    id: firmware,
    role: 'optional',
    met,
  }));
  return [...required, ...optional];
}
