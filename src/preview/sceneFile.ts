import { basename, dirname, join } from 'node:path';
import { freeName, readText, sceneName, writeText } from './disk.js';

/** The scene's file on disk, and what it was last seen to say. Never written over what was not seen. */
export class SceneFile {
  #path: string;
  /** Undefined when there is none yet. */
  #seen: string | undefined;
  /** What somebody else put there, while there was something here to lose. */
  #other: string | undefined;

  constructor(path: string, seen: string | undefined) {
    this.#path = path;
    this.#seen = seen;
  }

  get path(): string {
    return this.#path;
  }

  get isNew(): boolean {
    return this.#seen === undefined;
  }

  get conflict(): string | undefined {
    return this.#other;
  }

  says(text: string): boolean {
    return this.#seen === text;
  }

  /** Writes `text`, unless the file says something that was not seen yet: then there is a conflict. */
  async save(text: string): Promise<void> {
    const now = await readText(this.#path);
    if (now !== undefined && now !== this.#seen) {
      this.#other = now;
      return;
    }
    await this.#write(text);
  }

  /** Writes `text` under another name beside it, where nothing is. @throws InputError, WorkError */
  async saveAs(text: string, name = basename(this.#path)): Promise<void> {
    const path = join(dirname(this.#path), sceneName(name));
    await writeText(path, text, false);
    this.#path = path;
    this.#seen = text;
    this.#other = undefined;
  }

  /** What the file says, where that is news; `mine` is the text here. */
  async news(mine: string): Promise<string | undefined> {
    if (this.#seen === undefined) return undefined;
    const now = await readText(this.#path);
    if (now === undefined || now === this.#seen || now === this.#other) return undefined;
    if (now !== mine && mine !== this.#seen) {
      this.#other = now;
      return undefined;
    }
    this.#seen = now;
    this.#other = undefined;
    return now;
  }

  /** Ends a conflict by `mine` going on; the other text gets a file of its own, whose name it gives. */
  async keep(mine: string): Promise<string> {
    const copy = await this.#putAside('-from-disk', this.#other ?? '');
    await this.#write(mine);
    return copy;
  }

  /** Ends a conflict by the other text going on. */
  async yield(mine: string): Promise<{ readonly text: string; readonly copy: string }> {
    const text = this.#other ?? '';
    const copy = await this.#putAside('-from-page', mine);
    this.#seen = text;
    this.#other = undefined;
    return { text, copy };
  }

  /** Puts a text into a file of its own beside this one, whose name it gives. */
  async #putAside(ending: string, text: string): Promise<string> {
    const copy = await freeName(this.#path, ending);
    await writeText(copy, text, false);
    return basename(copy);
  }

  /** Puts unsaved changes into a file of their own. */
  async keepUnsaved(text: string): Promise<string> {
    return join(dirname(this.#path), await this.#putAside('-unsaved', text));
  }

  async #write(text: string): Promise<void> {
    await writeText(this.#path, text, true);
    this.#seen = text;
    this.#other = undefined;
  }
}
