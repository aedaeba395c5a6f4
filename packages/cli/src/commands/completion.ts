import { usage } from '../arguments/arguments.js';
import type { Command } from '../command.js';
import { EXIT } from '../exit-code.js';

const SCRIPTS = {
  bash: `# Completion of firmtally for bash.
_firmtally_complete() {
  local words=("\${COMP_WORDS[@]:0:COMP_CWORD+1}") IFS=$'\\n'
  COMPREPLY=($(firmtally --complete bash "\${words[@]}" 2>/dev/null))
}
complete -o bashdefault -o default -F _firmtally_complete firmtally
`,
  zsh: `#compdef firmtally
# Completion of firmtally for zsh.
_firmtally_complete() {
  local -a offers
  offers=("\${(@f)$(firmtally --complete zsh "\${(@)words[1,CURRENT]}" 2>/dev/null)}")
  if (( \${#offers} )) && [[ -n $offers[1] ]]; then
    _describe firmtally offers
  else
    _files
  fi
}
compdef _firmtally_complete firmtally
`,
} as const;

const SHELLS = Object.keys(SCRIPTS) as (keyof typeof SCRIPTS)[];

export const command: Command = {
  operand: {
    name: 'shell',
    describe: 'Which shell it is for; without it, the one that SHELL names',
    required: false,
    many: false,
    choices: SHELLS,
  },
  options: {},
  examples: [
    ['firmtally completion bash >> ~/.bashrc', 'Complete in every new bash'],
    ['firmtally completion zsh >> ~/.zshrc', 'Complete in every new zsh'],
  ],
  prepare: ({ operands: [named] }) => {
    const name = named ?? /[^/]*$/.exec(process.env['SHELL'] ?? '')?.[0];
    const shell = SHELLS.find((each) => each === name);
    if (shell === undefined) {
      throw usage('completion needs <shell>', `There is a script for: ${SHELLS.join(', ')}`);
    }
    return async (context) => {
      await context.stdout.write(SCRIPTS[shell]);
      return EXIT.good;
    };
  },
};
