import { Picture } from '../../browser/picture.js';
import type { FetchTexels } from '../../browser/tiles.js';
import type { AtlasLayout } from '../../render/atlas.js';
import type { LevelsState } from '../protocol.js';
import type { App } from './app.js';
import { clock } from './timeline.js';

/** A display at 60 frames a second takes 16.7 ms; slower than this on average, and it is drawn as draft. */
const SLOW = 22;

/** Keeps the canvas showing what the store says, as finely and as quickly as the machine can. */
export class Painter {
  readonly #app: App;
  readonly #canvas: HTMLCanvasElement;
  #picture: Picture | undefined;
  #levels: number | undefined;
  #stale = true;
  #drawnOf: readonly unknown[] = [];
  #pace = 16;
  #before = 0;

  constructor(app: App, canvas: HTMLCanvasElement) {
    this.#app = app;
    this.#canvas = canvas;
    try {
      this.#picture = new Picture(canvas, () => {
        this.#stale = true;
      });
      // The software drawer is known to be slow.
      if (this.#picture.isSoftware) this.#pace = 2 * SLOW;
    } catch (error) {
      app.store.set({ blind: (error as Error).message });
    }
    canvas.addEventListener('webglcontextlost', () =>
      app.store.set({ blind: 'The graphics device went away. Load the page anew to go on.' }),
    );
  }

  /** Turns to the levels that the server has now. */
  open(levels: LevelsState | undefined, texelsOf: (id: number) => FetchTexels): void {
    if (levels === undefined || levels.id === this.#levels) return;
    this.#levels = levels.id;
    const layout = levels.layout as AtlasLayout;
    this.#picture?.open(layout, texelsOf(levels.id)).catch((error: unknown) => {
      if (this.#levels === levels.id) this.#levels = undefined;
      // Another frame, or another master, is on its way already.
      const passing = ['AbortError', 'Refused', 'TypeError'].includes((error as Error).name);
      if (!passing) this.#app.store.set({ trouble: String(error) });
    });
  }

  frame(now: number): void {
    const { store, scenery, motion } = this.#app;
    const { time, free } = store.shown;
    const { shape, scene } = scenery;
    this.#showTime(time, scene?.duration ?? 0);
    if (shape === undefined || scene === undefined || this.#picture === undefined) return;
    const size = this.#sizeFor(shape);
    const moving = motion.isMoving(now);
    if (moving) this.#pace += 0.05 * (Math.min(100, now - this.#before) - this.#pace);
    this.#before = now;
    const of = [time, free, scenery.timeline, shape, scene, size.width, size.height, moving];
    if (!this.#stale && of.every((value, index) => value === this.#drawnOf[index])) return;
    const quick = moving && (this.#picture.isSoftware || this.#pace > SLOW);
    const half = quick && this.#pace > SLOW ? 2 : 1;
    const [width, height] = [Math.ceil(size.width / half), Math.ceil(size.height / half)];
    const isBest = this.#picture.draw({
      width,
      height,
      moving,
      cameras: moving ? [scenery.camera(width, height)!] : scenery.exposure(width, height),
      background: shape.background,
      quality: quick ? 'draft' : 'final',
      sharpness: moving ? 0 : scene.sharpen,
    });
    this.#stale = false;
    this.#drawnOf = of;
    const { isReady } = this.#picture;
    store.set({ sharp: isReady && isBest });
    this.#canvas.dataset.drawn = isReady
      ? `${time.toFixed(4)} ${isBest && !moving ? 'sharp' : 'rough'}`
      : '';
  }

  /** As large as it is seen, but never larger than the output itself. */
  #sizeFor({ width, height }: { readonly width: number; readonly height: number }) {
    const mat = this.#canvas.closest<HTMLElement>('#mat');
    const frame = this.#canvas.parentElement!;
    if (mat === null) return { width, height };
    const scale = Math.min(mat.clientWidth / width, mat.clientHeight / height);
    const [wide, high] = [Math.floor(width * scale), Math.floor(height * scale)];
    frame.style.width = `${wide}px`;
    frame.style.height = `${high}px`;
    const dense = Math.min(1, scale * devicePixelRatio);
    return {
      width: Math.max(16, Math.round(width * dense)),
      height: Math.max(16, Math.round(height * dense)),
    };
  }

  /** The playhead and the clock follow every frame; the rest of the page need not. */
  #showTime(time: number, duration: number): void {
    const head = document.querySelector<HTMLElement>('#playhead');
    if (head !== null && duration > 0) head.style.left = `${(100 * time) / duration}%`;
    const shown = document.querySelector('#clock');
    if (shown !== null && this.#app.store.shown.playing) shown.textContent = clock(time);
  }
}
