import { existsSync, readFileSync } from 'node:fs';
import { TO_COMPILE } from './needs.mjs';
import { Missing, root, run } from './run.mjs';
import { provide } from './system.mjs';

const ADDON = new URL('node_modules/gl/build/Release/webgl.node', root);

/** Brings node_modules to what package-lock.json says. */
export function installPackages() {
  if (!upToDate(entries('package-lock.json'), entries('node_modules/.package-lock.json'))) {
    console.log('Installing the npm packages; the first time this takes about a minute.');
    // What mostly fails is `gl`, where its ready-made binary is out of reach and no compiler is there.
    if (!npm('ci') && !(provideCompiler() && npm('ci'))) throw new Missing(FAILED);
  }
  if (existsSync(ADDON)) return;
  console.log('The npm package gl has no binary yet.');
  if (npm('rebuild', 'gl') && existsSync(ADDON)) return;
  if (provideCompiler() && npm('rebuild', 'gl') && existsSync(ADDON)) return;
  throw new Missing(FAILED);
}

const FAILED = `The npm packages could not be installed; the lines above say why. If they speak of
  - the network or the registry: try again, or look at \`npm config get registry\` and the proxy;
  - gyp: the package gl had to be compiled, which takes Python 3, make and a C++ compiler
    (Debian, Ubuntu: python3 make g++; macOS: xcode-select --install; Windows: Visual Studio Build Tools).`;

function provideCompiler() {
  if (TO_COMPILE.every((need) => need.there())) return false;
  provide(TO_COMPILE);
  return true;
}

/** npm as it started us, else the one on PATH. */
function npm(...args) {
  const script = process.env.npm_execpath;
  return script?.endsWith('.js') && existsSync(script)
    ? run(process.execPath, [script, ...args])
    : run('npm', args);
}

/** The packages of a lock file, by place; undefined where there is none. */
function entries(name) {
  try {
    return JSON.parse(readFileSync(new URL(name, root), 'utf8')).packages;
  } catch {
    return undefined;
  }
}

/**
 * Whether the packages installed (npm's own record of them) are those locked. What is optional may be
 * absent: it is for other platforms, or its download failed.
 */
export function upToDate(locked, installed) {
  if (!installed) return false;
  if (!locked) return true;
  const same = (place) =>
    installed[place]?.version === locked[place]?.version &&
    installed[place]?.integrity === locked[place]?.integrity;
  return (
    Object.entries(locked).every(
      ([place, entry]) =>
        place === '' || same(place) || (entry.optional && installed[place] === undefined),
    ) && Object.keys(installed).every((place) => locked[place] !== undefined)
  );
}
