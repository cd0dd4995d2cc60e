import type { ChildProcess } from 'node:child_process';
import { randomBytes } from 'node:crypto';
import { rmSync } from 'node:fs';
import { rm } from 'node:fs/promises';
import { basename, dirname, extname, join } from 'node:path';

const paths = new Set<string>();
const children = new Set<ChildProcess>();
let armed = false;

/** Whatever way this process ends by itself, nothing unfinished stays on the disk. */
function arm(): void {
  if (armed) return;
  armed = true;
  process.once('exit', clearAway);
}

/** Ends our children and removes all that is unfinished, as the process ends. */
export function clearAway(): void {
  for (const child of children) killGroup(child);
  for (const path of paths) removeNow(path);
}

const REMOVAL = { recursive: true, force: true, maxRetries: 5, retryDelay: 50 } as const;

function removeNow(path: string): void {
  try {
    rmSync(path, REMOVAL);
  } catch {
    // The process is ending: there is nobody left to tell.
  }
}

/** Beside `file`, hidden, its own for each call, with the same extension; removed on exit unless released. */
export function temporaryBeside(file: string, extension = extname(file)): string {
  const stem = basename(file, extname(file)).slice(0, 60);
  const name = `.${stem}.${randomBytes(6).toString('hex')}.partial${extension}`;
  const path = join(dirname(file), name);
  arm();
  paths.add(path);
  return path;
}

/** It has become somebody's file, or is gone. */
export function release(path: string): void {
  paths.delete(path);
}

export async function removeTemporary(path: string): Promise<void> {
  await rm(path, REMOVAL);
  release(path);
}

/** Ends `child`, which leads a process group of its own, with all that it started (it may be a script). */
export function killGroup(child: ChildProcess): void {
  if (child.pid === undefined || child.exitCode !== null || child.signalCode !== null) return;
  try {
    if (process.platform === 'win32') child.kill('SIGKILL');
    else process.kill(-child.pid, 'SIGKILL');
  } catch {
    // It has just ended by itself.
  }
}

/** Ends `child` too when this process ends. */
export function endWithUs(child: ChildProcess): void {
  arm();
  children.add(child);
  child.once('close', () => children.delete(child));
}
