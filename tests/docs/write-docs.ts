/** Writes the generated parts of the documents anew: `npx tsx tests/docs/write-docs.ts`. */
import { execFileSync } from 'node:child_process';
import { writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { documents, readDocument, regenerated, root } from './generated.js';

for (const name of documents) {
  writeFileSync(new URL(name, root), await regenerated(readDocument(name)));
}

// The linter wants tables in its own layout.
const biome = createRequire(import.meta.url).resolve('@biomejs/biome/bin/biome');
execFileSync(process.execPath, [biome, 'format', '--write', ...documents], {
  cwd: root,
  stdio: 'inherit',
});
