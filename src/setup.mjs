// Gets a fresh clone ready, and says what it cannot do itself. Plain Node, nothing but built-in modules:
// it runs before anything is installed. `--test` also looks for what only the tests need.
import { build } from './setup/build.mjs';
import { checkNode } from './setup/node.mjs';
import { installPackages } from './setup/packages.mjs';
import { Missing } from './setup/run.mjs';
import { installSystem } from './setup/system.mjs';

const forTests = process.argv.includes('--test');

try {
  checkNode(process.versions.node);
  installPackages();
  // After the packages: one of them may have brought ffmpeg.
  installSystem(forTests);
  build();
} catch (error) {
  if (!(error instanceof Missing)) throw error;
  console.error(`\n${error.message}\n`);
  process.exitCode = 1;
}
