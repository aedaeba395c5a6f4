/** Choosing what is needed: manifests, and lists that somebody posted. */
import { copyFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { noChromium } from '../support/chromium.js';
import { firmtally } from '../support/cli.js';
import { check, choose, DEMO, demo, pagesOf, saved, titled } from '../support/page/page.js';

describe.skipIf(noChromium !== null)(titled('what is needed'), { timeout: 120_000 }, () => {
  const pages = pagesOf();

  it('shows the problems of a manifest with their frames, as the command does', async () => {
    const { page, close } = await pages.open();
    await choose(page, 'Manifest', join(DEMO, 'mistakes.yaml'));
    const { stdout } = await firmtally(['validate', 'mistakes.yaml'], {
      cwd: DEMO,
      env: { COLUMNS: '300' },
    });
    // The frame's first line; below it the command draws what the page underlines.
    const lines = stdout.split('\n').map((line) => line.trimEnd());
    const shown = page.locator('.problem');
    expect(await shown.count()).toBe(4);
    for (const problem of await shown.all()) {
      const head = (await problem.locator('h2').textContent()) ?? '';
      const at = lines.indexOf(head);
      expect(at, head).toBeGreaterThanOrEqual(0);
      expect(lines[at + 1]).toBe(await problem.locator('pre').textContent());
      const marked = (await problem.locator('mark').textContent()) ?? '';
      expect((/[~^]+/.exec(lines[at + 2] ?? '') ?? [''])[0]).toHaveLength(marked.length);
      for (const note of await problem.locator('p').all()) {
        expect(lines).toContain(`   = ${(await note.textContent()) ?? ''}`);
      }
    }
    await expect(page.getByRole('button', { name: 'Check the card' }).isDisabled()).resolves.toBe(
      true,
    );
    await close();
  });

  it('drafts a manifest from a posted list, checks the card by it and offers it', async () => {
    const folder = demo();
    const { page, close } = await pages.open();
    await choose(page, 'Card folder', join(folder, 'card'));
    await choose(page, 'Posted list', join(DEMO, 'posted-list.md'));
    const drafted = await saved(page, 'Save the drafted manifest');
    writeFileSync(join(folder, 'drafted.yaml'), drafted);
    const draft = await firmtally(['draft', '--list', 'posted-list.md'], { cwd: DEMO });
    // A file for an editor is made by the command, so only that speaks of it.
    const editors = /^# (?:For checks and completion|yaml-language-server:).*\n/gmu;
    expect(drafted).toBe(draft.stdout.replaceAll(editors, ''));
    const { stdout } = await firmtally(
      ['audit', 'card', '-m', 'drafted.yaml', '--format', 'json'],
      { cwd: folder },
    );
    expect(await check(page)).toEqual(JSON.parse(stdout));
    await close();
  });

  it('says of each wrong file what is wrong with it', async () => {
    const folder = demo();
    const { page, close } = await pages.open();
    writeFileSync(join(folder, 'empty.yaml'), '');
    writeFileSync(join(folder, 'binary.yaml'), Buffer.from([0, 1, 2, 255, 254, 0, 0, 200]));
    writeFileSync(join(folder, 'huge.yaml'), Buffer.alloc(100 * 1024 * 1024, 'a: b\n'));
    copyFileSync(join(folder, 'card/system/firmware/kestrel.zip'), join(folder, 'some.zip'));
    writeFileSync(join(folder, 'words.txt'), 'nothing of use\n');
    const said = page.locator('#manifest-said');
    for (const [name, rule] of [
      ['empty.yaml', 'empty-manifest'],
      ['binary.yaml', 'not-utf8'],
      ['huge.yaml', 'too-large'],
    ] as const) {
      await choose(page, 'Manifest', join(folder, name));
      await page.getByText(`[${rule}]`).waitFor();
      expect(await said.textContent()).toBe('The manifest has an error; see below.');
    }
    for (const [name, sentence] of [
      ['some.zip', 'some.zip: this is binary data, not a list.'],
      ['huge.yaml', 'huge.yaml: the list is larger than 4 MiB.'],
      ['words.txt', 'No line of the list names a file with a checksum.'],
    ] as const) {
      await choose(page, 'Posted list', join(folder, name));
      await page.getByText(sentence).first().waitFor();
      expect(await said.getAttribute('class')).toBe('wrong');
    }
    expect(await page.getByLabel('Manifest').inputValue()).toBe('');
    await close();
  });
});
