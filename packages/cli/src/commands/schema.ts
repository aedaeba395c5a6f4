import { schemaText, SCHEMA_NAMES } from '@firmtally/core';
import type { Command } from '../command.js';
import { EXIT } from '../exit-code.js';

export const command: Command = {
  operand: {
    name: 'name',
    describe: 'Which document',
    required: true,
    many: false,
    choices: SCHEMA_NAMES,
  },
  options: {},
  examples: [
    ['firmtally schema manifest -o manifest.schema.json', 'Let an editor check what you write'],
  ],
  prepare: ({ operand }) => {
    const name = SCHEMA_NAMES.find((each) => each === operand);
    if (name === undefined) throw new Error(`"${operand}" was let through`);
    return async (context) => {
      await context.stdout.write(schemaText(name));
      return EXIT.good;
    };
  },
};
