import js from '@eslint/js';
import svelte from 'eslint-plugin-svelte';
import globals from 'globals';
import ts from 'typescript-eslint';
import svelteConfig from './svelte.config.js';

export default ts.config(
  { ignores: ['dist/', 'dev-dist/', 'src/api/schema.d.ts'] },
  js.configs.recommended,
  ...ts.configs.strict,
  ...svelte.configs.recommended,
  {
    languageOptions: { globals: { ...globals.browser } },
    rules: {
      // A swallowed error is a lost answer: every catch does something with what it caught.
      'no-empty': ['error', { allowEmptyCatch: false }],
      'no-console': 'error',
      // `!= null` is the one way to say "neither left out nor null", which the wire tells apart and screens do not.
      eqeqeq: ['error', 'always', { null: 'ignore' }],
    },
  },
  {
    files: ['**/*.svelte', '**/*.svelte.ts'],
    languageOptions: { parserOptions: { parser: ts.parser, extraFileExtensions: ['.svelte'], svelteConfig } },
    rules: {
      // The router of this project is its own; links are plain addresses under the same origin.
      'svelte/no-navigation-without-resolve': 'off',
      // Dates, maps and query parameters are values here: replaced whole, never changed in place under a screen.
      'svelte/prefer-svelte-reactivity': 'off',
    },
  },
  { files: ['scripts/**', '*.config.{js,ts}'], languageOptions: { globals: { ...globals.node } } },
);
