import { realpathSync } from 'node:fs';
import { afterEach, expect, it, vi } from 'vitest';
import { resolveLinks } from '../../../packages/host/src/folder/native-path.js';
import { tempFolder } from '../../support/temp.js';

afterEach(() => {
  vi.restoreAllMocks();
});

// As RAM disks on Windows do.
it('resolves a folder on a drive that answers realpath.native with EISDIR', () => {
  // Without links of the system's own on the way, which under Wine only the native way sees.
  const folder = resolveLinks(tempFolder());
  vi.spyOn(realpathSync, 'native').mockImplementation(() => {
    throw Object.assign(new Error('EISDIR'), { code: 'EISDIR' });
  });
  expect(resolveLinks(folder)).toBe(folder);
});

it('leaves every other error as it is', () => {
  vi.spyOn(realpathSync, 'native').mockImplementation(() => {
    throw Object.assign(new Error('ENOENT'), { code: 'ENOENT' });
  });
  expect(() => resolveLinks(tempFolder())).toThrow('ENOENT');
});
