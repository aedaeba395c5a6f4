import type { CheckedRule } from './check.js';

export const doubledFolder: CheckedRule = {
  id: 'doubled-folder',
  severity: 'warning',
  description: 'A path does not start with the folder it is in anyway.',
  check({ files, problems }) {
    for (const { path, folder, file } of files.flatMap(({ firmware }) => firmware)) {
      const inside = (folder ?? file.folder)?.value ?? '.';
      if (path === null || inside === '.' || !path.value.startsWith(`${inside}/`)) continue;
      problems.add(doubledFolder, path.spot, {
        message: `The path starts with its folder, so the file is expected in "${inside}/${inside}".`,
        suggestion: path.value.slice(inside.length + 1),
      });
    }
  },
};
