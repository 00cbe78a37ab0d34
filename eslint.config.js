import tseslint from 'typescript-eslint';
import importX, { createNodeResolver } from 'eslint-plugin-import-x';
import reactHooks from 'eslint-plugin-react-hooks';

/** Imports point one way; each layer lists what it may use. tests/unit/import-direction.test.ts fails without this rule. */
const mayImport = {
  contract: [],
  optics: ['contract'],
  image: ['contract', 'optics'],
  sharpness: ['contract', 'optics', 'image'],
  simd: ['contract', 'optics', 'image', 'sharpness'],
  registration: ['contract', 'optics', 'image', 'simd'],
  ladder: ['contract', 'optics', 'image', 'sharpness', 'simd', 'registration'],
  diagnosis: ['contract', 'optics', 'image', 'sharpness', 'registration', 'ladder'],
  pipeline: ['contract', 'optics', 'image', 'sharpness', 'registration', 'ladder', 'diagnosis'],
  io: ['contract', 'optics', 'image', 'sharpness', 'registration', 'ladder', 'diagnosis', 'pipeline', 'simd'],
  cli: ['contract', 'optics', 'image', 'sharpness', 'registration', 'ladder', 'diagnosis', 'pipeline', 'io', 'serve'],
  serve: ['contract', 'optics', 'image', 'sharpness', 'registration', 'ladder', 'diagnosis', 'pipeline', 'io'],
};
const layers = Object.keys(mayImport);
const zones = layers.map((layer) => ({
  target: `./src/${layer}`,
  from: layers.filter((other) => other !== layer && !mayImport[layer].includes(other)).map((other) => `./src/${other}`)
    .concat(['./renderer', './electron', './tests']),
  message: `src/${layer} may import only ${['itself', ...mayImport[layer]].join(', ')}.`,
}));
zones.push({
  target: './renderer',
  from: layers.filter((l) => l !== 'contract' && l !== 'optics').map((l) => `./src/${l}`).concat(['./electron', './tests']),
  message: 'The renderer may import only src/contract and src/optics.',
});
const nodeFree = ['contract', 'optics', 'image', 'sharpness', 'simd', 'registration', 'ladder', 'diagnosis', 'pipeline'];

export default tseslint.config(
  { ignores: ['src/simd/assembly/', 'dist/', 'node_modules/', 'coverage/', 'sample-frames/'] },
  ...tseslint.configs.recommended,
  {
    plugins: { 'import-x': importX },
    settings: {
      // Imports name the compiled file (.js); the sources beside it end in .ts or .tsx.
      'import-x/resolver-next': [createNodeResolver({ extensions: ['.ts', '.tsx', '.js'], extensionAlias: { '.js': ['.ts', '.tsx', '.js'] } })],
      'import-x/extensions': ['.ts', '.tsx', '.js'],
    },
    rules: {
      'import-x/no-restricted-paths': ['error', { zones }],
      'import-x/no-cycle': 'error',
      '@typescript-eslint/no-explicit-any': 'error',
    },
  },
  {
    files: nodeFree.map((l) => `src/${l}/**/*.ts`).concat('renderer/**/*.{ts,tsx}'),
    rules: { 'no-restricted-imports': ['error', { patterns: [{ group: ['node:*', 'fs', 'path', 'sharp', 'worker_threads', 'electron'], message: 'Only io, cli, serve and electron may use Node.' }] }] },
  },
  { files: ['renderer/**/*.{ts,tsx}'], plugins: { 'react-hooks': reactHooks }, rules: reactHooks.configs.recommended.rules },
);
