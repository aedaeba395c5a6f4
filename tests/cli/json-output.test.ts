import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { firmtally } from '../support/cli.js';
import { tempFolder } from '../support/temp.js';

/** CSI as C1 (ECMA-48 5.3), RIGHT-TO-LEFT OVERRIDE (UAX #9), DEL. */
const RAW = '\u009b\u202e\u007f';

it.skipIf(process.platform === 'win32')(
  'no JSON format prints controls raw, and every one gives them back',
  async () => {
    const root = tempFolder();
    mkdirSync(join(root, 'pile'));
    mkdirSync(join(root, 'card'));
    const name = `x${RAW}.bin`;
    writeFileSync(join(root, 'pile', name), 'alpha\n');
    const written = JSON.stringify(name)
      .replaceAll('\u007f', '\\u007f')
      .replaceAll('\u009b', '\\u009b');
    const manifest = `firmtally: 1
firmware:
  wren: {path: wren.bin, dumps: [{size: 6, sha1: d046cd9b7ffb7661e449683313d41f6fc33e3130}]}
systems:
  wren: {name: Wren, requires: [wren]}
`;
    writeFileSync(join(root, 'wren.yaml'), manifest);
    writeFileSync(join(root, 'bad.yaml'), `${manifest}${written}: 1\n`);
    const commands = [
      ['identify', 'pile', '-m', 'wren.yaml', '--format', 'json'],
      ['place', 'pile', '--onto', 'card', '-m', 'wren.yaml', '--format', 'json'],
      ['digest', `pile/${name}`, '--format', 'json'],
      ['validate', 'bad.yaml', '--format', 'json'],
      ['validate', 'bad.yaml', '--format', 'sarif'],
      ['draft', 'pile', '--format', 'json'],
    ];
    for (const command of commands) {
      const { stdout, stderr } = await firmtally(command, { cwd: root });
      expect(stderr, command.join(' ')).not.toMatch(/[\u007f-\u009f\u202e]/);
      expect(stdout, command.join(' ')).not.toMatch(/[\u007f-\u009f\u202e]/);
      // In a message the name may be escaped once more, as text.
      expect(JSON.stringify(JSON.parse(stdout)), command.join(' ')).toMatch(
        /\u009b\u202e\u007f|u009b\\+u202e\\+u007f/,
      );
    }
  },
);
