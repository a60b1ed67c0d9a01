import { svelte } from '@sveltejs/vite-plugin-svelte';
import { defineConfig } from 'vitest/config';

// The page is built into DWELL_WEB_OUT (default web/dist). All addresses in it are relative, so that the same folder can
// be served from any path or lie inside the server's binary. `--mode gallery` adds the page of all components.
export default defineConfig({
  base: './',
  // Lucide marks its components by the "svelte" condition only.
  plugins: [svelte()],
  build: {
    outDir: process.env['DWELL_WEB_OUT'] ?? 'dist',
    emptyOutDir: true,
    target: 'es2022',
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    reportCompressedSize: true,
  },
  test: { include: ['src/**/*.test.ts'], environment: 'node' },
});
