import { type FSWatcher, realpathSync, watch } from 'node:fs';
import { dirname, resolve } from 'node:path';
import { fileStamp } from '../flow/fileStamp.js';

/** Editors write in steps (empty it, fill it; write another, rename it): files are whole after such a rest, in ms. */
const REST = 50;

/** Between looks at files whose folders tell nothing, as on network drives, or are not there yet, in ms. */
const POLL = 1000;

/** Files that something is made of, and whether they have changed since it was. */
export class WatchedFiles {
  /** How each of them was when it was last read. */
  #read = new Map<string, string>();
  #before = new Map<string, string>();
  readonly #folders = new Map<string, FSWatcher>();
  #look = () => {};

  /** All are read anew, and told of by `add`. */
  begin(): void {
    this.#before = new Map([...this.#read.keys()].map((file) => [file, fileStamp(file)]));
    this.#read = new Map();
  }

  /** It is about to be read, or would be if it were there. */
  readonly add = (file: string): void => {
    const path = resolve(file);
    if (!this.#read.has(path)) this.#read.set(path, fileStamp(path));
  };

  has = (file: string): boolean => this.#read.has(resolve(file));

  /** What failed did not come to all of its files: those it had before count too. */
  failed(): void {
    this.#read = new Map([...this.#before, ...this.#read]);
  }

  /** Waits until a file is other than it was when it was read; yields when that was seen. Ends when `signal` fires, too. */
  async change(signal: AbortSignal): Promise<number> {
    this.#watchFolders();
    const read = [...this.#read.values()].join();
    return new Promise((settle) => {
      let seen = read;
      let since = 0;
      let rest: NodeJS.Timeout | undefined;
      const end = () => {
        clearTimeout(rest);
        clearInterval(poll);
        signal.removeEventListener('abort', end);
        this.#look = () => {};
        settle(since);
      };
      const look = () => {
        const now = [...this.#read.keys()].map(fileStamp).join();
        if (now === seen) return;
        if (seen === read) since = performance.now();
        seen = now;
        clearTimeout(rest);
        if (now !== read) rest = setTimeout(looked, REST);
      };
      const looked = () => {
        const last = seen;
        look();
        if (seen === last) end();
      };
      const poll = setInterval(look, POLL);
      signal.addEventListener('abort', end);
      this.#look = look;
      if (signal.aborted) end();
      else look();
    });
  }

  close(): void {
    for (const watcher of this.#folders.values()) watcher.close();
    this.#folders.clear();
  }

  /** Folders, since a file that is renamed into its place is another file; also where links lead. */
  #watchFolders(): void {
    const folders = new Set(
      [...this.#read.keys()].flatMap((file) => [file, target(file)]).map(dirname),
    );
    for (const [folder, watcher] of this.#folders) {
      if (folders.has(folder)) continue;
      watcher.close();
      this.#folders.delete(folder);
    }
    for (const folder of folders) {
      if (this.#folders.has(folder)) continue;
      try {
        const watcher = watch(folder, () => this.#look());
        watcher.on('error', () => this.#forget(folder));
        this.#folders.set(folder, watcher);
      } catch {
        // Looking from time to time has to do.
      }
    }
  }

  #forget(folder: string): void {
    this.#folders.get(folder)?.close();
    this.#folders.delete(folder);
  }
}

function target(file: string): string {
  try {
    return realpathSync(file);
  } catch {
    return file;
  }
}
