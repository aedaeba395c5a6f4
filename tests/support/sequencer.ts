import { BaseSequencer, type TestSpecification } from 'vitest/node';

/**
 * The files that take longest, which begin first: on a clean clone vitest knows
 * no times, and one of these begun last would leave the other cores idle.
 */
const LONGEST = [
  'tests/page/page.test.ts',
  'tests/core/manifest/growth.test.ts',
  'tests/host/place/kill.test.ts',
  'tests/host/place/crash-points.test.ts',
  'tests/outside/pack.test.ts',
  'tests/vectors/vectors.test.ts',
  'tests/fuzz/fuzz.test.ts',
  'tests/core/report/html-in-browser.test.ts',
];

export class LongestFirst extends BaseSequencer {
  override async sort(files: TestSpecification[]): Promise<TestSpecification[]> {
    const place = ({ moduleId }: TestSpecification): number => {
      const at = LONGEST.findIndex((path) => moduleId.endsWith(path));
      return at === -1 ? LONGEST.length : at;
    };
    return (await super.sort(files)).sort((a, b) => place(a) - place(b));
  }
}
