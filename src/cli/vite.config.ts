import { readdirSync, rmSync } from 'node:fs';
import { relative } from 'node:path';
import { fileURLToPath } from 'node:url';
import { defineConfig, type Plugin } from 'vite';

const here = (path: string) => fileURLToPath(new URL(path, import.meta.url));

const SOURCES = here('../');
const TARGET = here('../../dist/cli/');
const PART = 'part-';

/** Modules that look for files beside themselves find those that the compiler made. */
const ownPlaces: Plugin = {
  name: 'own-places',
  transform(code, id) {
    if (!id.startsWith(SOURCES) || !code.includes('import.meta.url')) return undefined;
    const place = relative(here('.'), id).replace(/\.ts$/u, '.js');
    const own = `new URL(${JSON.stringify(place)}, import.meta.url).href`;
    return code.replaceAll('import.meta.url', own);
  },
};

/** Packages that stay outside; Node is two to four times as quick at requiring them as at importing them. */
const REQUIRED = ['opentype.js', 'sharp'];
const required: Plugin = {
  name: 'required',
  enforce: 'pre',
  resolveId: (id) => (REQUIRED.includes(id) ? `\0required:${id}` : undefined),
  load(id) {
    const [, name] = /^\0required:(.*)$/u.exec(id) ?? [];
    if (name === undefined) return undefined;
    return `import { createRequire } from 'node:module';
      export default createRequire(import.meta.url)(${JSON.stringify(name)});`;
  },
};

/** Parts of earlier bundles go. */
const freshParts: Plugin = {
  name: 'fresh-parts',
  buildStart() {
    for (const name of readdirSync(TARGET)) if (name.startsWith(PART)) rmSync(TARGET + name);
  },
};

/**
 * The command in a few files, over the compiler's dist/cli/main.js: of hundreds that Node would have to find and
 * read before it can begin, most of the time a command took was that.
 * `vite build --config src/cli/vite.config.ts`, after the compiler.
 */
export default defineConfig({
  root: here('.'),
  logLevel: 'warn',
  plugins: [ownPlaces, required, freshParts],
  // Others bring files of their own, or are rarely needed.
  ssr: { noExternal: ['commander', 'fastest-levenshtein', 'gl-matrix', 'regl', 'yaml', 'zod'] },
  build: {
    ssr: here('main.ts'),
    outDir: TARGET,
    emptyOutDir: false,
    target: 'node20',
    license: { fileName: 'bundled-licences.md' },
    rolldownOptions: {
      external: ['ffmpeg-static'],
      output: { entryFileNames: 'main.js', chunkFileNames: `${PART}[name].js` },
    },
  },
});
