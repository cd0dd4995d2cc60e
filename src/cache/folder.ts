import { mkdir, readdir, rm, stat, statfs, utimes } from 'node:fs/promises';
import { homedir } from 'node:os';
import { isAbsolute, join, resolve } from 'node:path';

/** Most that all entries take together, in bytes; those that were not used for longest go first. */
export const MOST_BYTES = 4e9;
/** Bytes that stay free on the disk at least. */
const SPARED_BYTES = 1e9;
/** Files that were being written when their process was killed are this old, in milliseconds. */
const STALE_AFTER = 24 * 3600 * 1000;

const EXTENSION = '.levels';
/** Nothing else in the folder is ever touched. */
const ENTRY = /^[0-9a-f]{32}\.levels$/u;
const UNFINISHED = /^\.[0-9a-f]{32}\.[0-9a-f]{12}\.partial\.levels$/u;

/** A file of the cache. */
export interface Entry {
  readonly file: string;
  readonly bytes: number;
  /** When it was last used, in milliseconds since 1970. */
  readonly usedAt: number;
}

/**
 * Where prepared masters are kept: `ORBREEL_CACHE`, else the system's place for what can be made anew (XDG Base
 * Directory Specification 0.8; macOS and Windows: common practice, from memory).
 *
 * @returns undefined where `ORBREEL_CACHE` is `off`, or there is no such place
 */
export function cacheFolder(
  env: NodeJS.ProcessEnv = process.env,
  platform: NodeJS.Platform = process.platform,
): string | undefined {
  const { ORBREEL_CACHE: wish, XDG_CACHE_HOME: xdg = '', LOCALAPPDATA: local } = env;
  if (wish === 'off') return undefined;
  if (wish) return resolve(wish);
  if (platform === 'win32' && local) return join(local, 'orbreel', 'cache');
  if (platform !== 'darwin' && isAbsolute(xdg)) return join(xdg, 'orbreel');
  const home = homeOfUser();
  if (home === undefined) return undefined;
  if (platform === 'darwin') return join(home, 'Library', 'Caches', 'orbreel');
  if (platform === 'win32') return join(home, 'AppData', 'Local', 'orbreel', 'cache');
  return join(home, '.cache', 'orbreel');
}

/** Undefined for users without one, as in some containers. */
function homeOfUser(): string | undefined {
  try {
    return homedir();
  } catch {
    return undefined;
  }
}

/** @param key 32 hexadecimal digits */
export const entryFile = (folder: string, key: string): string => join(folder, key + EXTENSION);

/** Those last used first. Empty where there is no such folder. */
export async function entriesOf(folder: string): Promise<Entry[]> {
  const found = await Promise.all((await namesIn(folder, ENTRY)).map(entryAt));
  return found.filter((entry) => entry !== undefined).sort((a, b) => b.usedAt - a.usedAt);
}

/** Removes all entries, also half-written ones. @returns the bytes that they took */
export async function clearCache(folder: string): Promise<number> {
  const files = [...(await namesIn(folder, ENTRY)), ...(await namesIn(folder, UNFINISHED))];
  return remove((await Promise.all(files.map(entryAt))).filter((entry) => entry !== undefined));
}

/** Notes that an entry was used, so that it stays longer. */
export async function noteUse(file: string): Promise<void> {
  const now = new Date();
  await utimes(file, now, now).catch(() => {});
}

/** Whether the folder can take a file of that size; makes the folder. */
export async function makeRoom(folder: string, bytes: number, most = MOST_BYTES): Promise<boolean> {
  if (bytes > most) return false;
  try {
    await mkdir(folder, { recursive: true });
    await removeBeyond(folder, most - bytes);
    const { bavail, bsize } = await statfs(folder);
    return bavail * bsize >= bytes + SPARED_BYTES;
  } catch {
    return false;
  }
}

async function removeBeyond(folder: string, most: number): Promise<void> {
  let bytes = 0;
  const kept = await entriesOf(folder);
  const beyond = kept.filter((entry) => {
    bytes += entry.bytes;
    return bytes > most;
  });
  const unfinished = await Promise.all((await namesIn(folder, UNFINISHED)).map(entryAt));
  const stale = unfinished.filter(
    (entry) => entry !== undefined && entry.usedAt < Date.now() - STALE_AFTER,
  ) as Entry[];
  await remove([...beyond, ...stale]);
}

async function remove(entries: readonly Entry[]): Promise<number> {
  // Another process may have been quicker, or, on Windows, be reading it.
  await Promise.all(entries.map(({ file }) => rm(file, { force: true }).catch(() => {})));
  return entries.reduce((sum, { bytes }) => sum + bytes, 0);
}

const namesIn = async (folder: string, kind: RegExp): Promise<string[]> =>
  (await readdir(folder).catch(() => [] as string[]))
    .filter((name) => kind.test(name))
    .map((name) => join(folder, name));

async function entryAt(file: string): Promise<Entry | undefined> {
  const facts = await stat(file).catch(() => undefined);
  return facts?.isFile() ? { file, bytes: facts.size, usedAt: facts.mtimeMs } : undefined;
}
