import { schemaText, SCHEMA_NAMES, type SchemaName } from '@firmtally/core';
import type { Command } from '../command.js';
import { ownOptionsFirst } from '../option-groups.js';
import { EXIT } from '../exit-code.js';

export const command: Command = {
  positionals: '<name>',
  options: (yargs) =>
    ownOptionsFirst(
      yargs
        .positional('name', {
          describe: 'Which document',
          choices: SCHEMA_NAMES,
          type: 'string',
        })
        .example('$0 schema manifest > manifest.schema.json', 'Let an editor check what you write'),
    ),
  run: async (args, context) => {
    await context.stdout.write(schemaText(args['name'] as SchemaName));
    return EXIT.good;
  },
};
