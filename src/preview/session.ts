import { basename, dirname } from 'node:path';
import { InputError } from '../errors.js';
import type { Scene } from '../scene/types.js';
import { readText } from './disk.js';
import { changed } from './edit/change.js';
import { inItsUnit } from './edit/moment.js';
import { given } from './given.js';
import { History } from './history.js';
import { Masters } from './masters.js';
import type { ConflictChoice, Edit, PageState } from './protocol.js';
import { type Reading, readForPage } from './reading.js';
import { SceneFile } from './sceneFile.js';
import { foldersNamed } from './sceneText.js';
import type { Start } from './start.js';
import { Works } from './works.js';

/** How often the file on disk is looked at, in ms. */
const WATCH_PAUSE = 500;

/** The scene that a page works on: its text with all changes, the file on disk, the master, the work. */
export class Session {
  readonly works: Works;
  readonly masters: Masters;
  readonly #file: SceneFile;
  readonly #history: History;
  #reading!: Reading;
  /** What the text said when it last was right. */
  #lastScene: Reading['scene'];
  /** Of files that the scene names on disk: only from there the page can have others. */
  #folders: ReadonlySet<string> = new Set();
  #revision = 0;
  #shot = 0;
  #note: string | undefined;
  #watch: NodeJS.Timeout | undefined;
  readonly #listeners = new Set<() => void>();
  /** Changes and saves come one after the other. */
  #queue: Promise<unknown> = Promise.resolve();

  private constructor(file: SceneFile, text: string) {
    this.#file = file;
    this.#history = new History(text);
    const tell = () => this.#tell();
    this.masters = new Masters(tell);
    this.works = new Works(tell);
  }

  /** @throws InputError when the file cannot be read as text */
  static async open({ file, starter }: Start): Promise<Session> {
    const text = starter ?? (await readText(file));
    if (text === undefined) throw new InputError(`${file}: expected a scene, a text file in UTF-8`);
    const seen = starter === undefined ? text : undefined;
    const session = new Session(new SceneFile(file, seen), text);
    session.#folders = foldersNamed(text, file);
    await session.#read();
    session.#watch = setInterval(() => void session.#look(), WATCH_PAUSE);
    session.#watch.unref();
    return session;
  }

  get state(): PageState {
    const { scene: _, start: __, video: ___, ...reading } = this.#reading;
    const { path, isNew, conflict } = this.#file;
    return {
      ...reading,
      revision: this.#revision,
      name: basename(path),
      folder: dirname(path),
      isNew,
      isSaved: this.#file.says(this.text),
      text: this.text,
      master: this.masters.state,
      ...given({
        scene: this.#lastScene,
        undo: this.#history.undoLabel,
        redo: this.#history.redoLabel,
        conflict,
        work: this.works.state,
        note: this.#note,
      }),
    };
  }

  /** The scene that the text describes. @throws InputError when it has mistakes */
  get scene(): Scene {
    const { scene } = this.#reading;
    if (scene === undefined) throw new InputError('The scene has mistakes; mend them first.');
    return scene;
  }

  /** When the shot that is shown begins, in seconds of the whole clip. */
  get start(): number {
    return this.#reading.start;
  }

  get text(): string {
    return this.#history.text;
  }

  get file(): string {
    return this.#file.path;
  }

  listen(listener: () => void): () => void {
    this.#listeners.add(listener);
    return () => this.#listeners.delete(listener);
  }

  /** @throws InputError when a change cannot be made, or the scene would be wrong with it */
  edit({ revision, label, changes }: Edit): Promise<void> {
    return this.#inTurn(async () => {
      if (revision !== this.#revision) {
        throw new InputError('The scene was changed meanwhile; look at it and do it again.');
      }
      const duration = this.#lastScene?.duration ?? 1;
      const text = changes.reduce(
        (before, change) => changed(before, inItsUnit(before, change, duration)),
        this.text,
      );
      const reading = await this.#readingOf(text);
      if (reading.problems.length > 0) {
        const told = reading.problems.map(({ path, message }) => `${path} ${message}`.trim());
        throw new InputError(told.join('; '));
      }
      await this.#take(text, label, reading);
    });
  }

  /** A whole new text, mistakes and all. @throws InputError when it turns to another folder's files */
  write(text: string): Promise<void> {
    return this.#inTurn(async () => {
      for (const folder of foldersNamed(text, this.file)) {
        if (!this.#folders.has(folder)) {
          throw new InputError(
            `The page opens no files outside the folders that the scene named when it was opened, and ${folder} is none of them; name it in an editor.`,
          );
        }
      }
      await this.#take(text, 'the text');
    });
  }

  undo(by: 1 | -1): Promise<void> {
    return this.#inTurn(async () => {
      this.#history.move(by);
      await this.#read();
    });
  }

  showShot(shot: number): Promise<void> {
    return this.#inTurn(async () => {
      this.#shot = shot;
      await this.#read();
    });
  }

  /** The page looks at another instant: of a video, another frame is wanted. */
  showMoment(seconds: number): Promise<void> {
    return this.#inTurn(() => this.masters.at(seconds));
  }

  /** Writes the file, unless somebody else did so meanwhile: then the state has a conflict. */
  save(name?: string): Promise<void> {
    return this.#inTurn(async () => {
      if (name === undefined && !this.#file.isNew) await this.#file.save(this.text);
      else {
        await this.#file.saveAs(this.text, name);
        await this.#read();
      }
      this.#tell();
    });
  }

  /** Ends a conflict: the text of one side goes on, that of the other into a file of its own. */
  settle(choice: ConflictChoice): Promise<void> {
    return this.#inTurn(async () => {
      if (this.#file.conflict === undefined) return;
      const kept = 'The other version is in';
      if (choice === 'mine') {
        this.#note = `${kept} ${await this.#file.keep(this.text)}.`;
        return this.#tell();
      }
      const { text, copy } = await this.#file.yield(this.text);
      await this.#take(text, 'the version on disk');
      this.#note = `${kept} ${copy}.`;
      this.#tell();
    });
  }

  /** Puts unsaved changes into a file of their own; its path, or undefined when there are none. */
  async keepUnsaved(): Promise<string | undefined> {
    await this.#queue;
    const untouched = this.#file.isNew && this.#history.undoLabel === undefined;
    if (this.#file.says(this.text) || untouched) return undefined;
    return this.#file.keepUnsaved(this.text);
  }

  close(): void {
    clearInterval(this.#watch);
    this.masters.close();
    this.works.stop();
  }

  #readingOf(text: string): Promise<Reading> {
    return readForPage(text, this.file, this.#shot);
  }

  async #take(text: string, label: string, reading?: Reading): Promise<void> {
    this.#history.add(text, label);
    this.#note = undefined;
    await this.#read(reading);
  }

  async #read(reading?: Reading): Promise<void> {
    this.#reading = reading ?? (await this.#readingOf(this.text));
    this.#revision++;
    const { scene } = this.#reading;
    if (scene !== undefined) {
      this.#lastScene = scene;
      await this.masters.show(scene, this.#reading.video);
    }
    this.#tell();
  }

  /** Takes up what an editor has saved; where the page has changes too, both are shown. */
  #look(): Promise<void> {
    return this.#inTurn(async () => {
      const before = this.#file.conflict;
      const news = await this.#file.news(this.text);
      if (news !== undefined && news !== this.text) {
        this.#folders = foldersNamed(news, this.file);
        await this.#take(news, 'what another program saved');
      } else if (news !== undefined || this.#file.conflict !== before) this.#tell();
      else await this.#lookForMaster();
    });
  }

  /** A missing master may have come, or one have been made anew. */
  async #lookForMaster(): Promise<void> {
    const { problems } = this.#reading;
    if (problems.some(({ path }) => path.endsWith('master'))) {
      const reading = await this.#readingOf(this.text);
      if (reading.problems.length < problems.length) await this.#read(reading);
    } else await this.masters.again();
  }

  #inTurn<T>(work: () => Promise<T>): Promise<T> {
    const turn = this.#queue.then(work, work);
    this.#queue = turn.catch(() => {});
    return turn;
  }

  #tell(): void {
    for (const listener of this.#listeners) listener();
  }
}
