import { type FreeView, sampleOf, viewAt } from '../../browser/look.js';
import { resolveCamera } from '../../camera/resolve.js';
import type { Camera } from '../../camera/types.js';
import { exposuresOf } from '../../render/motion.js';
import { SAMPLING } from '../../render/quality.js';
import type { Keyframe, Scene } from '../../scene/types.js';
import { frameTime } from '../../timeline/frames.js';
import { type Timeline, timelineOf } from '../../timeline/sample.js';
import { clockOf } from '../../timeline/timing.js';
import type { Place, ShapeState } from '../protocol.js';
import type { Store } from './store.js';
import { isIn } from './wording.js';

/** A keyframe with the place where it is written, and how. */
export interface PlacedKeyframe extends Keyframe {
  readonly where: Place;
  /** The instant of the clip that shows it, in seconds. */
  readonly time: number;
  readonly written: Readonly<Record<string, unknown>>;
}

const placeOf = (path: string): Place =>
  (path.match(/[^.[\]]+/gu) ?? []).map((step) => (/^\d+$/u.test(step) ? Number(step) : step));

/** What the scene looks like in the shape that is shown: the store's state, worked out. */
export class Scenery {
  readonly #store: Store;
  #of: unknown[] = [];
  #keyframes: readonly PlacedKeyframe[] = [];
  #timeline: Timeline | undefined;
  #clock: (clipSeconds: number) => number = (seconds) => seconds;

  constructor(store: Store) {
    this.#store = store;
  }

  get scene(): Scene | undefined {
    return this.#store.shown.server?.scene;
  }

  get shapes(): readonly ShapeState[] {
    return this.#store.shown.server?.shapes ?? [];
  }

  /** The shape that is shown: the one chosen, else the scene's first. */
  get shape(): ShapeState | undefined {
    const { shapes } = this;
    const { shape } = this.#store.shown;
    return shapes.find(({ name, problem }) => name === shape && problem === undefined) ?? shapes[0];
  }

  get keyframes(): readonly PlacedKeyframe[] {
    this.#refresh();
    return this.#keyframes;
  }

  get timeline(): Timeline | undefined {
    this.#refresh();
    return this.#timeline;
  }

  /** Whether any keyframe names a projection. */
  get morphs(): boolean {
    return this.keyframes.some(({ projection }) => projection !== undefined);
  }

  keyframe(path: string): PlacedKeyframe | undefined {
    return this.keyframes.find((keyframe) => keyframe.path === path);
  }

  /** The keyframe whose frame is shown at `seconds`. */
  keyframeAt(seconds: number): PlacedKeyframe | undefined {
    const half = 0.5 / (this.scene?.fps ?? 30);
    // At the very end the clip still shows its last frame.
    const last = (this.scene?.duration ?? 0) - 1 / (this.scene?.fps ?? 30);
    return this.keyframes.find(
      ({ time }) => Math.abs(time - seconds) < half || (time > last && seconds >= last - half),
    );
  }

  viewAt(seconds: number): FreeView {
    return viewAt(this.timeline!, this.ownTime(seconds));
  }

  /** What is shown now. */
  get view(): FreeView | undefined {
    const { free, time } = this.#store.shown;
    return this.timeline === undefined ? undefined : (free ?? this.viewAt(time));
  }

  /** Undefined while there is nothing to draw. */
  camera(width: number, height: number): Camera | undefined {
    const { timeline } = this;
    const { free, time } = this.#store.shown;
    const sample = timeline?.at(this.ownTime(time));
    return sample && resolveCamera(sampleOf(sample, free), width, height);
  }

  /** The cameras whose mean is the frame that `orbreel still` draws. */
  exposure(width: number, height: number): readonly Camera[] {
    const { timeline, scene } = this;
    const { free, time } = this.#store.shown;
    if (timeline === undefined || scene === undefined) return [];
    if (free !== undefined) return [this.camera(width, height)!];
    const frame = Math.round(time * scene.fps);
    const cameraAt = (seconds: number) =>
      resolveCamera(timeline.at(this.ownTime(seconds)), width, height);
    const shutter = { fps: scene.fps, angle: scene.shutter };
    const instant = frameTime(frame, scene.fps);
    return exposuresOf(cameraAt, instant, shutter, SAMPLING.final, width, height);
  }

  /** The instant of the scene's own time, in which keyframes lie, that the clip shows then. */
  ownTime(clipSeconds: number): number {
    this.#refresh();
    return this.#clock(clipSeconds);
  }

  #refresh(): void {
    const { server } = this.#store.shown;
    const { scene } = this;
    const { shape } = this;
    const of = [scene, server?.written, shape];
    if (of.every((value, index) => value === this.#of[index])) return;
    this.#of = of;
    if (scene === undefined || shape === undefined) {
      this.#timeline = undefined;
      this.#keyframes = [];
      return;
    }
    const keyframes = shape.keyframes ?? scene.keyframes;
    const { name, width, height, background } = shape;
    this.#timeline = timelineOf(scene, { shape: name, width, height, background, keyframes });
    this.#clock = clockOf(scene);
    this.#keyframes = keyframes.map((keyframe): PlacedKeyframe => {
      const where = placeOf(keyframe.path);
      const { path: _, ease: __, turn: ___, ...fields } = keyframe;
      const own = isIn(where, server?.list ?? [])
        ? server?.written[Number(where.at(-1))]
        : undefined;
      return {
        ...keyframe,
        where,
        written: own ?? fields,
        time: this.#shownAt(keyframe.at, scene),
      };
    });
  }

  /** When the clip first shows an instant of the scene, or comes nearest to it. */
  #shownAt(own: number, scene: Scene): number {
    if (scene.timing === undefined) return own;
    const frames = Math.max(1, Math.round(scene.duration * scene.fps));
    let best = 0;
    let least = Number.POSITIVE_INFINITY;
    for (let frame = 0; frame < frames; frame++) {
      const off = Math.abs(this.#clock(frame / scene.fps) - own);
      if (off < least - 1e-9) [best, least] = [frame / scene.fps, off];
    }
    return best;
  }
}
