import { stat } from 'node:fs/promises';
import { basename } from 'node:path';
import { InputError, Interrupted, WorkError } from '../errors.js';
import { videoTime } from '../flow/footage.js';
import type { Rgb } from '../master/decode/types.js';
import { checkMaster } from '../master/open.js';
import type { VideoFacts } from '../master/video/types.js';
import type { Scene } from '../scene/types.js';
import { type LevelFile, makeLevels } from './levels.js';
import type { MasterState } from './protocol.js';
import { withFrame } from './videoFrame.js';

/** Texels across of the small master that is there first, where the file offers it quickly. */
const FIRST_WIDTH = 2048;

const NONE: MasterState = { name: '', width: 0, height: 0, read: 0 };

/** The master that the page looks at: read in the background, a small one first, then the whole. */
export class Masters {
  state: MasterState = NONE;
  readonly #changed: () => void;
  readonly #levels = new Map<number, LevelFile>();
  #wanted: { readonly scene: Scene; readonly video: VideoFacts | undefined } | undefined;
  #seconds = 0;
  #file = '';
  /** Of a video: which instant of it. */
  #at = '';
  #count = 0;
  #stop = new AbortController();

  constructor(changed: () => void) {
    this.#changed = changed;
  }

  levelsOf(id: number): LevelFile | undefined {
    return this.#levels.get(id);
  }

  /**
   * Reads the scene's master, unless it is the one already read.
   *
   * @param video what is known of it, if it is one
   */
  show(scene: Scene, video: VideoFacts | undefined): Promise<void> {
    this.#wanted = { scene, video };
    return this.again();
  }

  /** Of a video another frame is looked at: the one at so many seconds of the shot. */
  at(seconds: number): Promise<void> {
    this.#seconds = seconds;
    return this.again();
  }

  /** Looks whether the file is still the same. */
  async again(): Promise<void> {
    if (this.#wanted === undefined) return;
    const { scene, video } = this.#wanted;
    const seconds = this.#seconds;
    const { master, background } = scene;
    const colour = background.kind === 'colour' ? background.colour : [0, 0, 0];
    const changed = await stat(master).then(
      ({ mtimeMs, size }) => `${mtimeMs} ${size}`,
      () => '',
    );
    const file = [master, changed, ...colour].join(' ');
    const at = video === undefined ? '' : String(videoTime(scene, seconds));
    if (file === this.#file && at === this.#at) return;
    const isOther = file !== this.#file;
    [this.#file, this.#at] = [file, at];
    this.#stop.abort();
    this.#stop = new AbortController();
    if (isOther) {
      this.close();
      this.#stop = new AbortController();
      this.state = { ...NONE, name: basename(master) };
    }
    const { signal } = this.#stop;
    const rgb = colour.slice(0, 3) as unknown as Rgb;
    const reading =
      video === undefined
        ? this.#read(master, rgb, signal)
        : this.#readFrame(video, Number(at), seconds, signal);
    void reading.catch((error) => {
      if (signal.aborted || error instanceof Interrupted) return;
      const told = error instanceof InputError || error instanceof WorkError;
      this.#tell({ problem: told ? error.message : `The master could not be read: ${error}` });
    });
  }

  /** Stops reading and lets go of all. */
  close(): void {
    this.#stop.abort();
    for (const levels of this.#levels.values()) levels.close();
    this.#levels.clear();
  }

  async #read(file: string, background: Rgb, signal: AbortSignal): Promise<void> {
    const { width, height } = await checkMaster(file);
    this.#tell({ width, height });
    if (width > 2 * FIRST_WIDTH) {
      const options = { background, maxWidth: FIRST_WIDTH, signal };
      this.#have(await makeLevels(file, options), signal);
    }
    let told = 0;
    const onProgress = (read: number) => {
      if (read - told < 0.02) return;
      told = read;
      this.#tell({ read });
    };
    const whole = await makeLevels(file, { background, signal, onProgress });
    this.state = { ...this.state, read: 1 };
    this.#have(whole, signal);
  }

  async #readFrame(
    video: VideoFacts,
    at: number,
    moment: number,
    signal: AbortSignal,
  ): Promise<void> {
    const { width, height } = video;
    this.#tell({ width, height });
    const levels = await withFrame(video, at, signal, (picture) =>
      makeLevels(picture, { background: [0, 0, 0], signal }),
    );
    this.state = { ...this.state, read: 1, moment };
    this.#have(levels, signal);
  }

  #have(levels: LevelFile | undefined, signal: AbortSignal): void {
    if (levels === undefined) return;
    if (signal.aborted) {
      levels.close();
      return;
    }
    const id = ++this.#count;
    this.#levels.set(id, levels);
    // The page may still be taking the ones before.
    for (const [old, file] of this.#levels) {
      if (old > id - 3) continue;
      file.close();
      this.#levels.delete(old);
    }
    this.#tell({ levels: { id, layout: levels.layout } });
  }

  #tell(facts: Partial<MasterState>): void {
    this.state = { ...this.state, ...facts };
    this.#changed();
  }
}
