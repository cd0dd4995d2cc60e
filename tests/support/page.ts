import { execFileSync } from 'node:child_process';
import { readdirSync, statSync } from 'node:fs';
import { createRequire } from 'node:module';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const root = fileURLToPath(new URL('../../', import.meta.url));

/** What the browser gets, and its vite configuration. */
const PAGES = [
  ['dist/preview/page/index.html', 'src/preview/vite.config.ts'],
  ['dist/page/web/page.js', 'src/page/vite.config.ts'],
] as const;

/** Builds the browser's pages where a source is newer; before all tests, since several look at them. */
export default function setup(): void {
  const newest = Math.max(...['src', 'shaders'].map((name) => newestIn(join(root, name))));
  const vite = dirname(createRequire(import.meta.url).resolve('vite/package.json'));
  for (const [page, config] of PAGES) {
    if (changed(join(root, page)) >= newest) continue;
    const words = [join(vite, 'bin/vite.js'), 'build', '--config', config];
    execFileSync(process.execPath, words, { cwd: root });
  }
}

const changed = (file: string): number => statSync(file, { throwIfNoEntry: false })?.mtimeMs ?? 0;

function newestIn(folder: string): number {
  const files = readdirSync(folder, { recursive: true, withFileTypes: true });
  return Math.max(...files.map((file) => changed(join(file.parentPath, file.name))));
}
