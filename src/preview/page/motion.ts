import { type FreeView, levelled, morphTo } from '../../browser/look.js';
import type { ProjectionChoice } from '../../camera/types.js';
import type { Scenery } from './scenery.js';
import type { Store } from './store.js';

/** Milliseconds of a morph that the user asked for. */
const MORPH = 700;
const LEVEL = 350;
/** After the last movement the picture is drawn at its best, in ms. */
const REST = 140;

const eased = (share: number): number => share * share * (3 - 2 * share);

const prefersCalm = (): boolean => matchMedia('(prefers-reduced-motion: reduce)').matches;

/** Everything that moves by itself: playing, morphs, levelling; and what the user turns by hand. */
export class Motion {
  readonly #store: Store;
  readonly #scenery: Scenery;
  #movedAt = Number.NEGATIVE_INFINITY;
  #way:
    | {
        readonly view: (share: number) => FreeView;
        readonly start: number;
        readonly length: number;
      }
    | undefined;
  #before = 0;

  constructor(store: Store, scenery: Scenery) {
    this.#store = store;
    this.#scenery = scenery;
  }

  /** Whether the picture is to be drawn quickly rather than at its best. */
  isMoving(now: number): boolean {
    return this.#store.shown.playing || this.#way !== undefined || now - this.#movedAt < REST;
  }

  /** The user turns the view. */
  look(turned: (view: FreeView) => FreeView): void {
    const { view } = this.#scenery;
    if (view === undefined) return;
    this.#movedAt = performance.now();
    this.#way = undefined;
    this.#store.set({ free: turned(view), playing: false });
  }

  choose(projection: ProjectionChoice): void {
    const { view, shape } = this.#scenery;
    if (view === undefined || shape === undefined) return;
    this.#go(morphTo(view, projection, shape), MORPH);
  }

  level(): void {
    const { view } = this.#scenery;
    if (view !== undefined) this.#go((share) => levelled(view, share), LEVEL);
  }

  play(on: boolean): void {
    const { scene } = this.#scenery;
    if (scene === undefined) return;
    const { time, looping } = this.#store.shown;
    const atEnd = time >= scene.duration - 1.5 / scene.fps;
    this.#before = performance.now();
    this.#way = undefined;
    this.#store.set({
      playing: on,
      ...(on ? { free: undefined } : { time: this.#onFrame(time) }),
      ...(on && atEnd && !looping ? { time: 0 } : {}),
    });
  }

  /** Moves on to the instant `now`, in ms. */
  tick(now: number): void {
    if (this.#way !== undefined) {
      const { view, start, length } = this.#way;
      const share = length === 0 ? 1 : Math.min(1, Math.max(0, (now - start) / length));
      if (share >= 1) this.#way = undefined;
      this.#movedAt = now;
      this.#store.set({ free: view(share >= 1 ? 1 : eased(share)) });
    }
    if (this.#store.shown.playing) this.#play(now);
  }

  #play(now: number): void {
    const { scene } = this.#scenery;
    if (scene === undefined) {
      this.#store.set({ playing: false });
      return;
    }
    const { time, looping } = this.#store.shown;
    const next = time + Math.max(0, now - this.#before) / 1000;
    this.#before = now;
    if (next < scene.duration) this.#store.set({ time: next });
    else if (looping) this.#store.set({ time: next % scene.duration });
    else this.#store.set({ time: this.#onFrame(scene.duration), playing: false });
  }

  #onFrame(time: number): number {
    const { fps, duration } = this.#scenery.scene ?? { fps: 30, duration: 0 };
    const last = Math.round(duration * fps) - 1;
    return Math.min(last, Math.max(0, Math.floor(time * fps + 1e-6))) / fps;
  }

  #go(view: (share: number) => FreeView, length: number): void {
    this.#way = { view, start: performance.now(), length: prefersCalm() ? 0 : length };
    this.#store.set({ playing: false, free: view(0) });
  }
}
