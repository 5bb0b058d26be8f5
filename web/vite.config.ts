import { svelte } from '@sveltejs/vite-plugin-svelte';
import { VitePWA } from 'vite-plugin-pwa';
import { defineConfig } from 'vitest/config';

// While developing, the pages come from Vite and the API from a server that is already running.
const server = process.env['HANDSEL_URL'] ?? 'http://127.0.0.1:8080';

export default defineConfig({
  plugins: [
    svelte(),
    VitePWA({
      strategies: 'injectManifest',
      srcDir: 'src/sw',
      filename: 'worker.ts',
      // The page registers the worker itself (src/sw/register.ts), so that an update never interrupts work.
      injectRegister: false,
      registerType: 'prompt',
      injectManifest: {
        globPatterns: ['**/*.{js,css,html,svg,png,webmanifest}'],
        // Shown by the browser before it installs, never by the app.
        globIgnores: ['screens/**'],
        // Named so that it is served as /sw.js in every build.
        rollupFormat: 'iife',
      },
      manifest: {
        id: '/',
        name: 'Handsel',
        short_name: 'Handsel',
        description: 'Hand motorhomes over, take them back, and settle what changed.',
        start_url: '/',
        scope: '/',
        display: 'standalone',
        orientation: 'any',
        background_color: '#f7f4ec',
        theme_color: '#f7f4ec',
        categories: ['business', 'productivity'],
        icons: [
          { src: '/icons/handsel-192.png', sizes: '192x192', type: 'image/png', purpose: 'any' },
          { src: '/icons/handsel-512.png', sizes: '512x512', type: 'image/png', purpose: 'any' },
          { src: '/icons/handsel-maskable-512.png', sizes: '512x512', type: 'image/png', purpose: 'maskable' },
          { src: '/icons/handsel.svg', sizes: 'any', type: 'image/svg+xml', purpose: 'any' },
        ],
        screenshots: [
          { src: '/screens/stops.png', sizes: '585x1266', type: 'image/png', form_factor: 'narrow', label: 'The walk-round, stop by stop' },
          { src: '/screens/statement.png', sizes: '1440x900', type: 'image/png', form_factor: 'wide', label: 'The itemised statement' },
        ],
        shortcuts: [{ name: 'Today', url: '/today' }],
      },
    }),
  ],
  build: {
    target: 'es2022',
    sourcemap: false,
    // One sheet and few files: a screen that is made of thirty pieces spends a slow telephone's time on asking for them.
    cssCodeSplit: false,
    rolldownOptions: {
      output: {
        codeSplitting: {
          groups: [
            { name: 'runtime', test: /node_modules\/(svelte|esm-env|clsx|idb|openapi-fetch)\//u, priority: 2 },
            // What only some screens need comes with them, however many they are.
            { name: 'common', test: /src\/(components|domain|state|actions|store)\/(?!Camera|PhotoButton|SureButton|workbench)/u, minShareCount: 3 },
          ],
        },
      },
    },
  },
  server: { proxy: { '/api': { target: server, changeOrigin: true } } },
  preview: { proxy: { '/api': { target: server, changeOrigin: true } } },
  test: {
    include: ['src/**/*.test.ts'],
    environment: 'node',
  },
});
