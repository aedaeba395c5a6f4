/**
 * Which way imports go. Type imports count too: a circle of types is a circle
 * of ideas. Each rule says why it is there.
 */

/** The core's folders, lowest first: each may import those before it, and itself. */
const LAYERS = [
  ['bytes', 'text'],
  ['digest'],
  ['manifest'],
  ['inventory'],
  ['facts'],
  ['draft', 'recognise'],
  ['judge'],
  ['diagnose'],
  ['identify'],
  ['plan'],
  ['report'],
];

const core = (names) => `^packages/core/src/(${names.join('|')})/`;

const layers = LAYERS.slice(0, -1).map((layer, at) => ({
  name: `core-${layer.join('-')}-looks-up`,
  comment: 'Data flows one way through the core, so that each step can be read and tested alone.',
  severity: 'error',
  from: { path: core(layer) },
  to: { path: core(LAYERS.slice(at + 1).flat()) },
}));

export default {
  forbidden: [
    {
      name: 'circle',
      comment: 'Files that need each other are one idea: merge them, or find the third they share.',
      severity: 'error',
      from: {},
      to: { circular: true },
    },
    ...layers,
    {
      name: 'core-is-pure',
      comment: 'The core runs in a browser: what needs Node belongs in packages/host.',
      severity: 'error',
      from: { path: '^packages/core/src/' },
      to: { path: '^(packages/(host|cli|page)/|node:)', dependencyTypesNot: ['npm'] },
    },
    {
      name: 'core-without-node',
      comment: 'As above, for the modules of Node.',
      severity: 'error',
      from: { path: '^packages/core/src/' },
      to: { dependencyTypes: ['core'] },
    },
    {
      name: 'host-without-cli',
      comment: 'A library user has the host, not the command.',
      severity: 'error',
      from: { path: '^packages/host/src/' },
      to: { path: '^packages/(cli|page)/' },
    },
    {
      name: 'page-without-node',
      comment: 'The page runs where there is no Node.',
      severity: 'error',
      from: { path: '^packages/page/src/' },
      to: { path: '^packages/(host|cli)/' },
    },
  ],
  options: {
    doNotFollow: { path: 'node_modules' },
    exclude: { path: '(^|/)(dist|generated)/' },
    tsPreCompilationDeps: true,
    tsConfig: { fileName: 'tsconfig.base.json' },
  },
};
