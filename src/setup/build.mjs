import { readdirSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { Missing, root, run } from './run.mjs';

const place = (path) => fileURLToPath(new URL(path, root));

/** What is bundled, after the compiler's work: what the browser gets, and the command itself; and by what. */
const BUNDLES = [
  ['dist/cli/bundled-licences.md', 'src/cli/vite.config.ts'],
  ['dist/preview/page/index.html', 'src/preview/vite.config.ts'],
  ['dist/page/web/page.js', 'src/page/vite.config.ts'],
];

/** Compiles src to dist, and bundles the command and the browser's pages there, where a source is newer. */
export function build() {
  const sources = Math.max(newest(place('src')), newest(place('shaders')));
  const built = Math.min(
    changed(place('dist/cli/main.js')),
    ...BUNDLES.map(([file]) => changed(place(file))),
  );
  if (built >= sources) return;
  console.log('Compiling.');
  const compiler = place('node_modules/typescript/bin/tsc');
  if (!run(process.execPath, [compiler, '-p', 'src', '--noEmitOnError'])) {
    throw new Missing('The sources did not compile; the lines above say where.');
  }
  const bundler = place('node_modules/vite/bin/vite.js');
  for (const [file, config] of BUNDLES) {
    if (run(process.execPath, [bundler, 'build', '--config', config])) continue;
    throw new Missing(`${file} could not be built; the lines above say why.`);
  }
}

const changed = (file) => statSync(file, { throwIfNoEntry: false })?.mtimeMs ?? 0;

function newest(folder) {
  if (!statSync(folder, { throwIfNoEntry: false })) return 0;
  return Math.max(
    ...readdirSync(folder, { withFileTypes: true }).map((entry) => {
      const path = join(folder, entry.name);
      if (entry.isDirectory()) return newest(path);
      return /\.(ts|json|css|html|svg|glsl|frag|vert)$/.test(entry.name) ? changed(path) : 0;
    }),
    0,
  );
}
