import { spawnSync } from 'node:child_process';
import { needs } from './needs.mjs';
import { Missing, onPath, run } from './run.mjs';

/** Installs what this system lacks where apt can, and names the rest. */
export function installSystem(forTests) {
  if (process.env.ORBREEL_SKIP_SYSTEM) return;
  provide(needs(forTests));
}

/** @param {import('./needs.mjs').Need[]} wanted */
export function provide(wanted) {
  const missing = wanted.filter((need) => !need.there());
  if (missing.length === 0) return;
  console.log(`Missing on this system: ${missing.map(({ what }) => what).join(', ')}.`);
  const superuser = onPath('apt-get') ? asRoot() : undefined;
  if (superuser) aptInstall(superuser, packagesOf(missing));
  const still = missing.filter((need) => !need.there());
  if (still.length > 0) throw new Missing(shoppingList(still));
}

const packagesOf = (list) => [...new Set(list.flatMap(({ apt }) => apt))];

/** What to put before a command to run it as root without being asked anything; undefined where it can't be. */
function asRoot() {
  if (process.getuid?.() === 0) return [];
  const { status } = spawnSync('sudo', ['-n', 'true'], { stdio: 'ignore' });
  return status === 0 ? ['sudo', '-n'] : undefined;
}

function aptInstall(superuser, packages) {
  const apt = (...args) => {
    const words = [...superuser, 'env', 'DEBIAN_FRONTEND=noninteractive', 'apt-get', ...args];
    return run(words[0], words.slice(1));
  };
  // Another apt may be at work on a machine that has just started.
  const wait = ['-o', 'DPkg::Lock::Timeout=120'];
  const install = () => apt(...wait, 'install', '-y', '--no-install-recommends', ...packages);
  // Lists that are empty or out of date show in the first try.
  if (!install()) {
    apt(...wait, 'update');
    install();
  }
}

/** Each missing thing, and how to get it here. */
function shoppingList(missing) {
  const rows = missing.map(({ what, why }) => `  ${what.padEnd(10)} ${why}`);
  const skip =
    process.platform === 'linux'
      ? '\nIf they are there, in a place not looked at: set ORBREEL_SKIP_SYSTEM=1.'
      : '';
  return `Please install:\n${rows.join('\n')}\n\n${howTo(missing)}${skip}`;
}

function howTo(missing) {
  const by = (name) => [...new Set(missing.map((need) => need[name]).filter(Boolean))];
  if (process.platform === 'darwin')
    return `With Homebrew:\n  brew install ${by('brew').join(' ')}`;
  if (process.platform === 'win32') {
    return by('winget')
      .map((name) => `  winget install ${name}`)
      .join('\n');
  }
  const packages = packagesOf(missing).join(' ');
  return onPath('apt-get')
    ? `On Debian and Ubuntu:\n  sudo apt-get install --no-install-recommends ${packages}`
    : `Their packages are called, on Debian: ${packages}; your distribution has the like.`;
}
