import { parse } from '@formatjs/icu-messageformat-parser';
import { svelte } from '@sveltejs/vite-plugin-svelte';
import type { Plugin } from 'vite';
import { defineConfig } from 'vitest/config';

// The page is built into DWELL_WEB_OUT (default web/dist). All addresses in it are relative, so that the same folder can
// be served from any path or lie inside the server's binary. `--mode gallery` adds the page of all components.
/** Wanted by every screen: one file, since each file more costs a request and its headers. */
const isBase = /\/node_modules\/(svelte|clsx|esm-env|idb|uuid)\/|\/@lucide\/svelte\/dist\/Icon|\/src\/(shell|time|record\/(?!pictures|typed))|\/src\/parts\/(CautionNote|SourceMark)|\/src\/(store\/(alarms|level)|line\/ways)\.ts/;

/** What the first screen needs is asked for by the page itself, not by one file after the other. */
function firstScreen(): Plugin {
  return {
    name: 'first-screen',
    apply: 'build',
    transformIndexHtml: {
      order: 'post',
      handler: (_html, { bundle }) => {
        const chunks = Object.values(bundle ?? {}).flatMap((file) => (file.type === 'chunk' ? [file] : []));
        const screen = chunks.find((chunk) => chunk.moduleIds.some((id) => id.endsWith('/screens/Watch.svelte')));
        if (screen === undefined) return [];
        const entry = chunks.find((chunk) => chunk.isEntry);
        const scripts = [screen.fileName, ...screen.imports].filter((name) => name !== entry?.fileName && !(entry?.imports.includes(name) ?? false));
        const styles = chunks.filter((chunk) => scripts.includes(chunk.fileName)).flatMap((chunk) => [...(chunk.viteMetadata?.importedCss ?? [])]);
        return [
          ...['api/about', 'api/ward'].map((href) => ({ tag: 'link', attrs: { rel: 'preload', as: 'fetch', crossorigin: true, href: `./${href}` } })),
          ...scripts.map((name) => ({ tag: 'link', attrs: { rel: 'modulepreload', crossorigin: true, href: `./${name}` } })),
          ...styles.map((name) => ({ tag: 'link', attrs: { rel: 'stylesheet', crossorigin: true, href: `./${name}` } })),
        ];
      },
    },
  };
}

/** The patterns of the catalogue are read here, so that the page carries no reader of patterns. */
function messages(): Plugin {
  const noReader = '@formatjs/icu-messageformat-parser/no-parser.js';
  return {
    name: 'messages',
    enforce: 'pre',
    config: () => ({ resolve: { alias: [{ find: /^@formatjs\/icu-messageformat-parser$/, replacement: noReader }] } }),
    transform(code, id) {
      if (!/\/text\/made\/[\w-]+\.json$/.test(id)) return undefined;
      const language = JSON.parse(code) as { patterns: Record<string, string> };
      const read = (text: string): unknown => (/[{}']/.test(text) ? parse(text, { ignoreTag: true, captureLocation: false }) : text);
      const patterns = Object.fromEntries(Object.entries(language.patterns).map(([key, text]) => [key, read(text)]));
      return JSON.stringify({ ...language, patterns });
    },
  };
}

export default defineConfig({
  base: './',
  // Lucide marks its components by the "svelte" condition only.
  plugins: [messages(), svelte(), firstScreen()],
  build: {
    outDir: process.env['DWELL_WEB_OUT'] ?? 'dist',
    emptyOutDir: true,
    target: 'es2022',
    assetsInlineLimit: 0,
    rollupOptions: { output: { manualChunks: (id) => (isBase.test(id) ? 'base' : undefined) } },
    modulePreload: { polyfill: false },
    reportCompressedSize: true,
  },
  test: { include: ['src/**/*.test.ts'], environment: 'node' },
});
