import { describe, expect, it } from 'vitest';
import { toPlaceError } from '../../../packages/host/src/place/place-error.js';
import { patientRename } from '../../../packages/host/src/place/patient-rename.js';

/** Fails with these codes in turn, then works. */
function failing(...codes: string[]): { tries: number; rename(): Promise<void> } {
  return {
    tries: 0,
    rename() {
      const code = codes[this.tries++];
      return code === undefined
        ? Promise.resolve()
        : Promise.reject(Object.assign(new Error(code), { code }));
    },
  };
}

describe('patientRename', () => {
  it.each<[NodeJS.Platform, string[]]>([
    ['win32', ['EPERM', 'EACCES', 'EBUSY']],
    ['linux', ['EBUSY']],
  ])('tries again on %s', async (platform, codes) => {
    const file = failing(...codes);
    await patientRename(() => file.rename(), platform, [0, 0, 0]);
    expect(file.tries).toBe(codes.length + 1);
  });

  it.each<[NodeJS.Platform, string]>([
    ['linux', 'EPERM'],
    ['darwin', 'EACCES'],
    ['win32', 'ENOENT'],
  ])('says at once what will not pass: %s, %s', async (platform, code) => {
    const file = failing(code);
    await expect(patientRename(() => file.rename(), platform, [0])).rejects.toMatchObject({ code });
    expect(file.tries).toBe(1);
  });

  it('gives up with what the last try said', async () => {
    const file = failing('EBUSY', 'EBUSY', 'EPERM');
    const trying = patientRename(() => file.rename(), 'win32', [0, 0]);
    await expect(trying).rejects.toMatchObject({ code: 'EPERM' });
    expect(file.tries).toBe(3);
  });
});

it.each<[NodeJS.Platform, string, string]>([
  ['win32', 'EBUSY', 'Another program is using the file.'],
  ['win32', 'EPERM', 'another program has the file open, or it may not be written.'],
  ['win32', 'EACCES', 'another program has the file open, or it may not be written.'],
  ['linux', 'EPERM', 'No permission to write there.'],
])('a rename that stays refused is said plainly: %s, %s', async (platform, code, words) => {
  const file = failing(...Array<string>(9).fill(code));
  const error: unknown = await patientRename(() => file.rename(), platform, [0]).catch(
    (thrown: unknown) => toPlaceError(thrown, platform),
  );
  expect((error as Error).message).toContain(words);
});
