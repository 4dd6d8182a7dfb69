// How the pages are built: local assets only, relative addresses, nothing inlined, so that they run under a
// policy of 'self' from a window or from loopback. It never reaches for the network.
import { svelte } from '@sveltejs/vite-plugin-svelte';
import { defineConfig } from 'vitest/config';

export default defineConfig({
  plugins: [svelte()],
  base: './',
  build: {
    target: ['es2022', 'safari16', 'chrome110'],
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    chunkSizeWarningLimit: 400,
  },
  // The browser's build of Svelte, so that stores with runes can be tested.
  resolve: process.env['VITEST'] ? { conditions: ['browser'] } : {},
  // The style sheet is read as text by the test of its colours. The first import of a store compiles it, on two cores that may be busy.
  test: { environment: 'node', include: ['src/**/*.test.ts'], css: true, testTimeout: 60_000 },
});
