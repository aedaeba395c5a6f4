import type { Located } from '../written.js';
import type { CheckedRule } from './check.js';

export const repeatedMember: CheckedRule = {
  id: 'repeated-member',
  severity: 'error',
  description: 'A member path stands once in its ZIP.',
  check({ files, problems }) {
    for (const { members } of files.flatMap((file) => file.firmware)) {
      const seen = new Map<string, Located<string>>();
      for (const { path } of members ?? []) {
        if (path === null) continue;
        const first = seen.get(path.value);
        if (first === undefined) {
          seen.set(path.value, path);
          continue;
        }
        problems.add(repeatedMember, path.spot, {
          message: `The member "${path.value}" is already listed.`,
          advice: 'put all its acceptable dumps into one member',
          related: [{ message: 'the first one is here', spot: first.spot }],
        });
      }
    }
  },
};
