// What Svelte is told: runes everywhere, and styles kept in the style sheet (the pages' policy allows no inline ones).
import { vitePreprocess } from '@sveltejs/vite-plugin-svelte';

export default {
  preprocess: vitePreprocess(),
  compilerOptions: { runes: true, css: 'external' },
};
