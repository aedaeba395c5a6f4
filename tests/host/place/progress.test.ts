/** How far a placement is, told by opening it, looking, and placing alike. Expected from what the scene holds. */
import { openPlacement } from '@firmtally/host';
import type { TaskProgress } from '@firmtally/core';
import { expect, it } from 'vitest';
import { tempFolder } from '../../support/temp.js';
import { cardFiles, makeScene, optionsFor, pileFiles } from './scene.js';

const phases = (seen: readonly TaskProgress[]): string[] =>
  seen.map(({ phase }) => phase).filter((phase, at, all) => phase !== all[at - 1]);

const listed = (seen: readonly TaskProgress[]): number | undefined =>
  seen.filter(({ phase }) => phase === 'list').at(-1)?.files;

it('counts the pile while it is opened, the card while it looks, the bytes while it places', async () => {
  const { card, sources, ...options } = optionsFor(makeScene(tempFolder()));
  const opening: TaskProgress[] = [];
  const placement = await openPlacement(card, sources, {
    ...options,
    onProgress: (each) => opening.push(each),
  });
  expect(phases(opening)).toEqual(['list']);
  expect(listed(opening)).toBe(pileFiles().size);

  const looking: TaskProgress[] = [];
  await placement.look({ onProgress: (each) => looking.push(each) });
  expect(phases(looking)).toEqual(['list', 'read', 'diagnose']);
  expect(listed(looking)).toBe(cardFiles().size);
  const read = looking.filter(({ phase }) => phase === 'read').at(-1);
  expect(read).toMatchObject({ files: read?.totalFiles, bytes: read?.totalBytes });

  const applying: TaskProgress[] = [];
  const { results } = await placement.apply({ onProgress: (each) => applying.push(each) });
  expect(phases(applying)).toEqual(['list', 'read', 'diagnose', 'place', 'list', 'read']);
  const placed = applying.filter(({ phase }) => phase === 'place').at(-1);
  expect(placed?.files).toBe(results.length);
});

it('opening rejects with what the callback throws, and with the reason of its signal', async () => {
  const { card, sources, ...options } = optionsFor(makeScene(tempFolder()));
  const boom = new Error('thrown by the callback');
  const onProgress = (): void => {
    throw boom;
  };
  await expect(openPlacement(card, sources, { ...options, onProgress })).rejects.toBe(boom);
  const controller = new AbortController();
  const abort = (): void => controller.abort(boom);
  const { signal } = controller;
  await expect(
    openPlacement(card, sources, { ...options, signal, onProgress: abort }),
  ).rejects.toBe(boom);
});
