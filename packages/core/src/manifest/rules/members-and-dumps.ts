import type { CheckedRule } from './check.js';

export const membersAndDumps: CheckedRule = {
  id: 'members-and-dumps',
  severity: 'error',
  description: 'A firmware is judged by its dumps or by its members, not both.',
  check({ files, problems }) {
    for (const { id, dumpsKey, membersKey } of files.flatMap((file) => file.firmware)) {
      if (dumpsKey === null || membersKey === null) continue;
      problems.add(membersAndDumps, membersKey, {
        message: `The firmware "${id.value}" has both members and dumps; a ZIP is judged by its members alone.`,
        advice: 'remove dumps, or remove members to judge the ZIP as one file',
        related: [{ message: 'dumps are here', spot: dumpsKey }],
      });
    }
  },
};
