import { Missing } from './run.mjs';

const OLDEST = [20, 19];

/** @param {string} version as in process.versions.node */
export function checkNode(version) {
  const [major = 0, minor = 0] = version.split('.').map(Number);
  if (major > OLDEST[0] || (major === OLDEST[0] && minor >= OLDEST[1])) return;
  throw new Missing(
    `Orbreel needs Node.js ${OLDEST.join('.')} or newer, and this is ${version}. Get one from https://nodejs.org or your package manager.`,
  );
}
