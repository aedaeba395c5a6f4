import fc from 'fast-check';
import type { Firmware, Requirement, Step } from '@firmtally/core';
import { foldCase, KEPT_FOLDER } from '@firmtally/core/internal';
import { expect, it } from 'vitest';
import {
  dumpOf,
  firmware,
  look,
  manifestOf,
  perform,
  system,
  type Files,
  type Looked,
  type World,
} from './world.js';

/** Few contents, names and folders, so that everything meets everything. Some have equal sizes. */
const CONTENTS = ['alpha', 'bravo', 'charlie', 'delta', 'echo!', 'foxtrot', ''];
const FOLDERS = ['', 'fw/', 'FW/', 'fw/deep/', 'games/', `${KEPT_FOLDER}/fw/`];
const NAMES = ['a.bin', 'A.bin', 'b.bin', 'c.rom', 'fw'];

const path = fc
  .tuple(fc.constantFrom(...FOLDERS), fc.constantFrom(...NAMES))
  .map((parts) => parts.join(''));
const content = fc.constantFrom(...CONTENTS);

/** Files where no path is both a file and a folder. */
const files = fc.array(fc.tuple(path, content), { maxLength: 7 }).map((pairs): Files => {
  const chosen: Files = new Map();
  for (const [name, text] of pairs) {
    const clash = [...chosen.keys()].some(
      (other) => other.startsWith(`${name}/`) || name.startsWith(`${other}/`),
    );
    if (!clash) chosen.set(name, text);
  }
  return chosen;
});

const entry = fc.record({
  path,
  // The empty content's digests are well known, and the manifest rules refuse them.
  dumps: fc.uniqueArray(fc.constantFrom(...CONTENTS.slice(0, -1)), { maxLength: 2 }),
  sized: fc.boolean(),
  ignoreCase: fc.boolean(),
});

const world = fc
  .record({
    entries: fc.array(entry, { minLength: 1, maxLength: 5 }),
    card: files,
    pile: files,
    roles: fc.array(fc.constantFrom('required', 'optional', 'any', 'unused'), {
      minLength: 5,
      maxLength: 5,
    }),
  })
  .map(({ entries, card, pile, roles }): World => {
    const all = entries.map((each, index): Firmware => {
      const dumps = each.dumps.map((text, at) => dumpOf(text, `#${at + 1}`, each.sized));
      return firmware(`fw-${index}`, each.path, dumps, {
        case: each.ignoreCase ? 'ignore' : 'exact',
      });
    });
    const ids = (role: string): string[] =>
      all.filter((_, index) => roles[index] === role).map(({ id }) => id);
    const any = ids('any');
    const requires: Requirement[] = ids('required').map((id) => ({ firmware: id }));
    if (any.length > 0) requires.push({ anyOf: any });
    const others = system(
      'others',
      ids('unused').map((id) => ({ firmware: id })),
    );
    const manifest = manifestOf(all, [system('main', requires, ids('optional')), others]);
    return { manifest, card, pile, systems: ['main'] };
  });

function counts(card: Files): Map<string, number> {
  const found = new Map<string, number>();
  for (const text of card.values()) found.set(text, (found.get(text) ?? 0) + 1);
  return found;
}

const isFolder = (step: Step): boolean => step.kind === 'case-fix' && step.entry === 'folder';

const verdictOf = (looked: Looked, id: string): string | undefined =>
  looked.verdicts.find((each) => each.id === id)?.verdict;

it('a plan carried out loses nothing, makes everything placeable match, and leaves nothing to do', async () => {
  await fc.assert(
    fc.asyncProperty(world, async (before) => {
      const first = await look(before);
      const done = perform(first.plan, before);
      const { card } = done;

      // Nothing is lost: each content is there at least as often as before.
      const after = counts(card);
      for (const [text, count] of counts(before.card)) {
        expect(after.get(text) ?? 0, text).toBeGreaterThanOrEqual(count);
      }
      // What is not part of a step is where it was.
      const moved = [
        ...first.plan.kept.map((kept) => kept.path),
        ...first.plan.steps.flatMap((step) => (step.kind === 'case-fix' ? [step.from.path] : [])),
      ];
      for (const [name, text] of before.card) {
        const part = moved.some(
          (each) =>
            foldCase(name) === foldCase(each) || foldCase(name).startsWith(`${foldCase(each)}/`),
        );
        if (!part) expect(card.get(name), name).toBe(text);
      }

      const second = await look(done);
      expect(second.plan.steps).toEqual([]);
      expect(second.plan.kept).toEqual([]);
      // What the plan says of afterwards is what a look afterwards says.
      const states = second.systems.map(({ id, readiness }) => ({ id, readiness, tooFew: [] }));
      expect(first.plan.after.systems).toEqual(states);
      expect(second.plan.after.systems).toEqual(states);
      expect(first.plan.after.totals).toEqual(second.plan.after.totals);

      for (const step of first.plan.steps.filter((each) => !isFolder(each))) {
        const dumps = before.manifest.firmware.get(step.firmware)?.dumps ?? [];
        expect(verdictOf(second, step.firmware)).toBe(dumps.length > 0 ? 'match' : 'unverified');
      }
      const refused = new Set([
        ...first.plan.toGet.flatMap((each) => each.anyOf),
        ...first.plan.problems.map((each) => each.firmware),
      ]);
      const main = before.manifest.systems.get('main');
      for (const item of main?.requires ?? []) {
        const ids = 'firmware' in item ? [item.firmware] : item.anyOf;
        const good = ids.some((id) =>
          ['match', 'unverified'].includes(verdictOf(second, id) ?? ''),
        );
        // Either it is provided for, or it is to get, or something keeps it from being provided.
        if (!good) expect(ids.filter((id) => refused.has(id))).not.toEqual([]);
      }
      for (const id of main?.optional ?? []) {
        if (!refused.has(id)) expect(['match', 'unverified']).toContain(verdictOf(second, id));
      }
      // What other systems have is theirs still.
      const others = { ...before, systems: ['others'] };
      const theirs = await look({ ...done, systems: ['others'] });
      for (const { id, verdict } of (await look(others)).verdicts) {
        if (verdict === 'match') expect(verdictOf(theirs, id)).toBe('match');
      }
      // What was right is right still.
      for (const { id, verdict } of first.verdicts) {
        if (verdict === 'match') expect(verdictOf(second, id)).toBe('match');
      }
    }),
    { seed: 20_260_801, numRuns: 800 },
  );
});

it('says that something is to get only where there is none', async () => {
  await fc.assert(
    fc.asyncProperty(world, async (before) => {
      const { plan } = await look(before);
      for (const id of plan.toGet.flatMap((row) => row.anyOf)) {
        const dumps = before.manifest.firmware.get(id)?.dumps ?? [];
        const wanted = new Set(dumps.map(({ digests }) => digests.sha1));
        const found = CONTENTS.filter((text) => wanted.has(dumpOf(text, '').digests.sha1));
        expect([...before.pile.values()].filter((text) => found.includes(text))).toEqual([]);
      }
    }),
    { seed: 20_260_802, numRuns: 300 },
  );
});

it('does not depend on the order in which a folder is listed', async () => {
  await fc.assert(
    fc.asyncProperty(world, async (before) => {
      const reversed = (given: Files): Files => new Map([...given].reverse());
      const other = { ...before, card: reversed(before.card), pile: reversed(before.pile) };
      expect((await look(other)).plan).toEqual((await look(before)).plan);
    }),
    { seed: 20_260_803, numRuns: 200 },
  );
});

it('never makes two names that are one on FAT32', async () => {
  await fc.assert(
    fc.asyncProperty(world, async (before) => {
      const { plan } = await look(before);
      const { card } = perform(plan, before);
      for (const { to } of plan.steps.filter((each) => !isFolder(each))) {
        const same = [...card.keys()].filter((name) => foldCase(name) === foldCase(to));
        // Folders that were spelled in two ways before are the card's own clash.
        const folders = same.map((name) => name.slice(0, name.lastIndexOf('/') + 1));
        expect(folders).toEqual([...new Set(folders)]);
      }
    }),
    { seed: 20_260_804, numRuns: 300 },
  );
});
