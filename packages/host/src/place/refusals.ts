import { FirmtallyError, type Outlook } from '@firmtally/core';

/**
 * Refuses to carry a plan out where the card seems to be the wrong folder, or
 * has no room; before anything is written.
 *
 * @param card as it was named
 * @param anyway whether the folder is known to be right
 * @throws FirmtallyError('root-doubtful'), ('place-failed')
 */
export function refuseDoubtful(card: string, { plan, hints }: Outlook, anyway: boolean): void {
  const doubt = hints.find(({ code }) => code === 'root-too-deep' || code === 'root-too-high');
  if (doubt !== undefined && !anyway) {
    const elsewhere = 'try' in doubt ? ` Try ${card}/${doubt.try}.` : '';
    throw new FirmtallyError(
      'root-doubtful',
      `${card}: ${doubt.text} Nothing was written.`,
      `Name the card's own folder.${elsewhere}`,
    );
  }
  if (plan.fits !== false) return;
  const { needed, free } = plan.space;
  throw new FirmtallyError(
    'place-failed',
    `${card}: the steps need ${String(needed)} bytes in whole clusters; ${String(free ?? 0)} are free. Nothing was written.`,
    'Make room on the card, or place fewer systems.',
  );
}
