import { execFileSync } from 'node:child_process';
import { readdirSync, statSync } from 'node:fs';
import { createRequire } from 'node:module';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const root = fileURLToPath(new URL('../../', import.meta.url));

/** Builds the preview page where a source is newer; before all tests, since several look at it. */
export default function setup(): void {
  const built = changed(join(root, 'dist/preview/page/index.html'));
  const newest = Math.max(...['src', 'shaders'].map((name) => newestIn(join(root, name))));
  if (built >= newest) return;
  const vite = dirname(createRequire(import.meta.url).resolve('vite/package.json'));
  const words = ['build', '--config', 'src/preview/vite.config.ts'];
  execFileSync(process.execPath, [join(vite, 'bin/vite.js'), ...words], { cwd: root });
}

const changed = (file: string): number => statSync(file, { throwIfNoEntry: false })?.mtimeMs ?? 0;

function newestIn(folder: string): number {
  const files = readdirSync(folder, { recursive: true, withFileTypes: true });
  return Math.max(...files.map((file) => changed(join(file.parentPath, file.name))));
}
