import { describe, expect, it } from 'vitest';
import { firmtally } from '../support/cli.js';

describe('firmtally schema', () => {
  it('prints a schema', async () => {
    const result = await firmtally(['schema', 'manifest']);
    expect(result).toMatchObject({ code: 0, stderr: '' });
    expect(JSON.parse(result.stdout)).toMatchObject({
      $schema: 'https://json-schema.org/draft/2020-12/schema',
    });
  });

  it('refuses an unknown name in two lines', async () => {
    const result = await firmtally(['schema', 'nonsense']);
    expect(result.code).toBe(2);
    expect(result.stdout).toBe('');
    expect(result.stderr).not.toMatch(/\n\s+at /);
  });
});
