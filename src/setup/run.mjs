import { spawnSync } from 'node:child_process';
import { accessSync, constants, statSync } from 'node:fs';
import { delimiter, join } from 'node:path';

/** Something that only the user can mend; the message says how. */
export class Missing extends Error {}

export const root = new URL('../../', import.meta.url);

/** Runs a program on the user's terminal; true when it went well. */
export function run(program, args, env = {}) {
  console.log(`> ${[program, ...args].join(' ')}`);
  const { status } = spawnSync(program, args, {
    cwd: root,
    stdio: ['ignore', 'inherit', 'inherit'],
    env: { ...process.env, ...env },
    // npm is a .cmd file there, which only a shell runs.
    shell: process.platform === 'win32' && program === 'npm',
  });
  return status === 0;
}

/** Whether a program of that name is on PATH. */
export function onPath(program) {
  const endings = process.platform === 'win32' ? ['.exe', '.cmd', '.bat', ''] : [''];
  return (process.env.PATH ?? '')
    .split(delimiter)
    .some(
      (folder) => folder !== '' && endings.some((ending) => runs(join(folder, program + ending))),
    );
}

function runs(file) {
  try {
    accessSync(file, constants.X_OK);
    return statSync(file).isFile();
  } catch {
    return false;
  }
}
