import { fileURLToPath } from 'node:url';
import { defineConfig } from 'vite';

const here = (path: string) => fileURLToPath(new URL(path, import.meta.url));

/** The page: `vite build --config src/preview/vite.config.ts`. */
export default defineConfig({
  root: here('page'),
  logLevel: 'warn',
  resolve: {
    // The page carries the shaders with it, and has no files to read them from.
    alias: [{ find: /^\.\/shaders\.js$/u, replacement: here('../browser/shaders.ts') }],
  },
  build: {
    outDir: here('../../dist/preview/page'),
    emptyOutDir: true,
    target: 'es2022',
    modulePreload: { polyfill: false },
    assetsInlineLimit: 0,
  },
});
