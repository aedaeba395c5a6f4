import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Report } from '@firmtally/core';
import { expect, it } from 'vitest';
import { writeZip } from '../support/zip.js';
import { firmtally } from '../support/cli.js';
import { tempFolder } from '../support/temp.js';

it('of an encrypted member (APPNOTE 4.4.4, bit 0) audit says that, once, and nothing of damage', async () => {
  const root = tempFolder();
  const manifest = join(tempFolder(), 'wren.yaml');
  const bytes = Buffer.from('alpha\n'); // digest by GNU coreutils 9.1
  const member = { name: 'k1', bytes, deflate: true, says: { flags: 1 } };
  writeFileSync(join(root, 'chips.zip'), writeZip([member]));
  writeFileSync(
    manifest,
    `firmtally: 1
firmware:
  chips: {path: chips.zip, members: [{path: k1, dumps: [{size: 6, sha1: d046cd9b7ffb7661e449683313d41f6fc33e3130}]}]}
systems:
  wren: {name: Wren, requires: [chips]}
`,
  );
  const { stdout } = await firmtally(['audit', root, '-m', manifest, '--format', 'json']);
  const { firmware } = JSON.parse(stdout) as Report;
  expect(firmware).toMatchObject([
    {
      facts: [
        {
          code: 'member-unreadable',
          text: 'Member "k1" cannot be read without a password.',
        },
      ],
    },
  ]);
  expect(firmware[0]?.advice?.text).toContain('without a password');
});
