import type { SystemRow } from '../judge/readiness.js';

/** What a firmware is to a system. */
export interface Role {
  readonly id: string;
  readonly role: 'required' | 'any-of' | 'optional';
}

/** Every firmware of a system, in listed order, once for each role. */
export function rolesOf(system: SystemRow): readonly Role[] {
  const required = system.requires.flatMap((item): Role[] =>
    'firmware' in item
      ? [{ id: item.firmware, role: 'required' }]
      : item.anyOf.map((id) => ({ id, role: 'any-of' })),
  );
  return [
    ...required,
    ...system.optionalFirmware.map(({ firmware }): Role => ({ id: firmware, role: 'optional' })),
  ];
}
