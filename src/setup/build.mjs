import { readdirSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { Missing, root, run } from './run.mjs';

/** Compiles src to dist where a source is newer. */
export function build() {
  const built = changed(fileURLToPath(new URL('dist/cli/main.js', root)));
  if (built >= newest(fileURLToPath(new URL('src', root)))) return;
  console.log('Compiling.');
  const compiler = fileURLToPath(new URL('node_modules/typescript/bin/tsc', root));
  if (!run(process.execPath, [compiler, '-p', 'src', '--noEmitOnError'])) {
    throw new Missing('The sources did not compile; the lines above say where.');
  }
}

const changed = (file) => statSync(file, { throwIfNoEntry: false })?.mtimeMs ?? 0;

function newest(folder) {
  return Math.max(
    ...readdirSync(folder, { withFileTypes: true }).map((entry) => {
      const path = join(folder, entry.name);
      if (entry.isDirectory()) return newest(path);
      return /\.(ts|json)$/.test(entry.name) ? changed(path) : 0;
    }),
    0,
  );
}
