import { defineConfig, globalIgnores } from 'eslint/config';
import tseslint from 'typescript-eslint';

const pureCore = {
  patterns: [
    { regex: '^node:', message: 'The core is pure: Node belongs in packages/host.' },
    {
      regex: '^(@firmtally/host|firmtally)$',
      message: 'Data flows one way: core never imports host or cli.',
    },
  ],
};

export default defineConfig(
  globalIgnores(['**/dist/', '**/generated/', '**/node_modules/', '.demo/']),
  tseslint.configs.strictTypeChecked,
  {
    languageOptions: {
      parserOptions: {
        projectService: { allowDefaultProject: ['*.js', '*.ts'] },
        tsconfigRootDir: import.meta.dirname,
      },
    },
    rules: {
      '@typescript-eslint/explicit-module-boundary-types': 'error',
      '@typescript-eslint/consistent-type-imports': 'error',
      '@typescript-eslint/restrict-template-expressions': ['error', { allowNumber: true }],
      '@typescript-eslint/no-confusing-void-expression': ['error', { ignoreArrowShorthand: true }],
      'no-console': 'error',
      eqeqeq: 'error',
    },
  },
  {
    files: ['*.js', '*.ts'],
    extends: [tseslint.configs.disableTypeChecked],
  },
  {
    files: ['packages/core/**'],
    rules: {
      'no-restricted-imports': ['error', pureCore],
      'no-restricted-globals': ['error', 'process', 'Buffer', '__dirname', 'require'],
    },
  },
  {
    // Control characters in patterns are the subject there, not an accident.
    rules: { 'no-control-regex': 'off' },
  },
  {
    // Plain JavaScript states its types in JSDoc, which this rule does not read; tsc checks them.
    files: ['**/*.mjs'],
    rules: { '@typescript-eslint/explicit-module-boundary-types': 'off' },
  },
  {
    files: ['examples/**', 'packages/tooling/**', 'packages/bench/**'],
    rules: { 'no-console': 'off' },
  },
);
