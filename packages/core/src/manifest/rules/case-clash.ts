import { foldCase } from '../../text/fold.js';
import { layouts, type Home } from '../shape/homes.js';
import type { CheckedRule } from './check.js';
import { PairReporter } from './pair-reporter.js';

export const caseClash: CheckedRule = {
  id: 'case-clash',
  severity: 'error',
  description: 'No two expected paths differ in letter case only.',
  check({ files, problems }) {
    const pairs = new PairReporter(caseClash, problems);
    for (const homes of layouts(files).homes) {
      const byFolded = new Map<string, Home>();
      for (const home of homes) {
        const folded = foldCase(home.path);
        const first = byFolded.get(folded);
        if (first === undefined) byFolded.set(folded, home);
        // A name composed in another way is the same name (UAX #15), not another case of it.
        else if (nfc(first.path) !== nfc(home.path)) {
          pairs.add(
            home,
            first,
            `"${home.path}" differs from "${first.path}" in letter case only; a FAT card or Windows holds just one of them.`,
          );
        }
      }
    }
  },
};

function nfc(path: string): string {
  return path.normalize('NFC');
}
