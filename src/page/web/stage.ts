import type { Camera } from '../../camera/types.js';
import { clamp, smoothStep } from '../../math.js';
import { cameraOf, type Moment, type Way, wayOf } from '../samples.js';
import type { PageData } from '../types.js';
import { CanvasSize } from './canvasSize.js';
import { Look, type Step } from './look.js';
import { Picture } from './picture.js';
import { bytesOf, tileSource } from './source.js';
import { apart, distanceFor, momentOf, type View, viewOf } from './view.js';

/** Milliseconds in which a scene's lens goes over into the viewer's own. */
const HANDOVER = 900;

/** What the stage tells the controls. */
export interface StageState {
  /** The page's moves are playing. */
  readonly isPlaying: boolean;
  readonly isPlanet: boolean;
  /** What the viewer wants to see. */
  readonly view: View;
}

/** Shows the sphere: first the page's moves, then what the viewer wants to see. */
export class Stage {
  readonly canvas: HTMLCanvasElement;
  readonly #data: PageData;
  readonly #look: Look;
  readonly #isCalm: () => boolean;
  readonly #listen: (state: StageState) => void;
  readonly #ways: readonly { readonly aspect: number; readonly way: Way }[];
  readonly #size: CanvasSize;
  #picture: Picture;
  /** When the moves began; undefined when they are not playing. */
  #began: number | undefined;
  /** What a scene's other lens showed, and since when the viewer's own replaces it. */
  #leaving: { readonly moment: Moment; readonly since: number } | undefined;
  #isAsked = false;
  #before = 0;

  /** @throws WorkError where the browser cannot draw */
  constructor(
    canvas: HTMLCanvasElement,
    data: PageData,
    isCalm: () => boolean,
    listen: (state: StageState) => void,
  ) {
    this.canvas = canvas;
    this.#data = data;
    this.#isCalm = isCalm;
    this.#listen = listen;
    const { start, picture, moves } = data;
    // Nearer than this a pixel of the screen would show little more than one of the picture.
    const narrowest = clamp(135_000 / (picture.side * picture.columns), 5, 60);
    const view = { ...start, roll: 0, distance: distanceFor(start.fov) };
    this.#look = new Look(view, narrowest, isCalm);
    this.#ways = moves.map((one) => ({
      aspect: one.aspect,
      way: wayOf(one, new Float32Array(bytesOf(one.samples).buffer)),
    }));
    this.#picture = this.#open();
    this.#size = new CanvasSize(canvas, this.#picture.isSoftware);
    canvas.addEventListener('webglcontextlost', (event) => event.preventDefault());
    canvas.addEventListener('webglcontextrestored', () => {
      this.#picture = this.#open();
      void this.#picture.open().then(() => this.#ask());
    });
    new ResizeObserver(() => this.#ask()).observe(canvas);
  }

  /** Resolves when there is something to see; then the moves begin, if the viewer likes motion. */
  async open(): Promise<void> {
    await this.#picture.open();
    if (!this.#isCalm()) this.play();
    this.#changed();
  }

  get view(): View {
    return this.#look.shown;
  }

  get camera(): Camera {
    return cameraOf(momentOf(this.#look.shown), this.canvas);
  }

  /** Plays the page's moves from their start. */
  play(): void {
    if (this.#ways.length === 0) return;
    this.#leaving = undefined;
    this.#began = performance.now();
    this.#changed();
  }

  /** The viewer goes on from what there is to see. */
  #takeOver(): void {
    if (this.#began === undefined) return;
    const moment = this.#way().at((performance.now() - this.#began) / 1000);
    this.#began = undefined;
    this.#look.stayAt(viewOf(moment));
    const isOther = moment.lenses.some(({ projection }) => projection !== 'perspective');
    if (isOther && !this.#isCalm()) this.#leaving = { moment, since: performance.now() };
  }

  flyToStart(): void {
    this.#takeOver();
    this.#look.flyTo(this.#look.start, performance.now());
    this.#changed();
  }

  /** The little planet under the viewer, or, where that is shown, the level view again. */
  togglePlanet(): void {
    const isPlanet = this.#began === undefined && this.#look.isPlanet;
    this.#takeOver();
    if (isPlanet) this.#look.flyToLevel(performance.now());
    else this.#look.flyToPlanet(performance.now());
    this.#changed();
  }

  step(by: Step): void {
    this.#takeOver();
    this.#look.step(by);
    this.#changed();
  }

  drag(by: { readonly yaw: number; readonly pitch: number }, took: number): void {
    this.#takeOver();
    this.#look.drag(by, took);
    this.#changed();
  }

  grab(): void {
    this.#takeOver();
    this.#look.grab();
    this.#changed();
  }

  letGo(coasts: boolean): void {
    this.#look.letGo(coasts);
    this.#changed();
  }

  point(view: Pick<View, 'yaw' | 'pitch' | 'roll'>): void {
    this.#takeOver();
    this.#look.point(view);
    this.#changed();
  }

  #open(): Picture {
    const source = tileSource(this.#data.tiles);
    return new Picture(this.canvas, this.#data.picture, source, () => this.#ask());
  }

  /** The moves made for a frame most like this one. */
  #way(): Way {
    const { clientWidth, clientHeight } = this.canvas;
    const off = (aspect: number) => Math.abs(Math.log((aspect * clientHeight) / clientWidth));
    return this.#ways.reduce((best, one) => (off(one.aspect) < off(best.aspect) ? one : best)).way;
  }

  #changed(): void {
    const { isPlanet, goal } = this.#look;
    this.#listen({ isPlaying: this.#began !== undefined, isPlanet, view: goal });
    this.#ask();
  }

  /** Draws as soon as the browser likes. */
  #ask(): void {
    if (this.#isAsked) return;
    this.#isAsked = true;
    this.canvas.dataset.drawn = 'asked';
    requestAnimationFrame((now) => this.#frame(now));
  }

  #frame(now: number): void {
    this.#isAsked = false;
    const passed = Math.min(100, now - this.#before);
    this.#before = now;
    const moves = this.#moveOn(now, passed);
    const quick = this.#size.fit(moves, passed);
    const isSharp = this.#picture.draw(this.#cameraNow(now), quick);
    const { yaw, pitch, roll, fov, distance } = this.#look.shown;
    this.canvas.dataset.view = [yaw, pitch, roll, fov, distance].map((n) => n.toFixed(4)).join(' ');
    this.canvas.dataset.drawn = moves ? 'moving' : isSharp ? 'sharp' : 'coming';
    if (moves) this.#ask();
  }

  /** @returns whether there is more movement to come */
  #moveOn(now: number, passed: number): boolean {
    if (this.#began !== undefined) {
      const way = this.#way();
      if (way.loop || (now - this.#began) / 1000 < way.duration) return true;
      this.#takeOver();
      const { start, shown } = this.#look;
      if (apart(shown, start) > 0.5) this.#look.flyTo(start, now);
      this.#changed();
    }
    const isHandingOver = this.#leaving !== undefined && now - this.#leaving.since < HANDOVER;
    if (!isHandingOver) this.#leaving = undefined;
    return this.#look.moveOn(now, passed) || isHandingOver;
  }

  #cameraNow(now: number): Camera {
    if (this.#began !== undefined) {
      return cameraOf(this.#way().at((now - this.#began) / 1000), this.canvas);
    }
    const own = this.camera;
    if (this.#leaving === undefined) return own;
    const { moment, since } = this.#leaving;
    const mix = smoothStep((now - since) / HANDOVER);
    const [from] = cameraOf(moment, this.canvas).lenses;
    return { rotation: own.rotation, lenses: [from, own.lenses[0]], mix };
  }
}
