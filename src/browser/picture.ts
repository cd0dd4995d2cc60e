import type { DrawCommand } from 'regl';
import type { Camera } from '../camera/types.js';
import type { AtlasLayout } from '../render/atlas.js';
import type { GlContext } from '../render/context.js';
import { COVER } from '../render/cover.js';
import { createFrameRenderer, type FrameOptions, type FrameRenderer } from '../render/frame.js';
import { addsUpLight, openCanvas } from './context.js';
import { PageMaster } from './master.js';
import { readShader } from './shaders.js';
import type { FetchTexels, LevelView } from './tiles.js';

export interface Drawing extends FrameOptions {
  /** One instant, or those of an exposure. */
  readonly cameras: readonly Camera[];
  readonly moving: boolean;
}

/** Renderers that are kept: still and moving, before and after a finer view came. */
const MOST_RENDERERS = 6;

/** Draws frames on a canvas, by the renderer's own programs. */
export class Picture {
  readonly canvas: HTMLCanvasElement;
  readonly isSoftware: boolean;
  readonly #context: GlContext;
  readonly #addsUpLight: boolean;
  readonly #show: DrawCommand;
  readonly #changed: () => void;
  readonly #renderers = new Map<string, FrameRenderer>();
  readonly #viewIds = new WeakMap<LevelView, number>();
  #views = 0;
  #master: PageMaster | undefined;
  #opening = new AbortController();

  /** @throws WorkError where the browser cannot draw */
  constructor(canvas: HTMLCanvasElement, changed: () => void) {
    this.canvas = canvas;
    this.#changed = changed;
    this.#context = openCanvas(canvas);
    this.isSoftware = this.#context.info.software;
    this.#addsUpLight = addsUpLight(this.#context);
    const { regl } = this.#context;
    this.#show = regl({
      frag: readShader('show.frag'),
      vert: readShader('cover.vert'),
      attributes: { corner: COVER },
      count: 3,
      depth: { enable: false },
      framebuffer: null,
      uniforms: {
        frame: (_: unknown, props: { frame: FrameRenderer['frame'] }) => props.frame,
        canvasSize: () => [canvas.width, canvas.height],
      },
    });
  }

  get isReady(): boolean {
    return this.#master !== undefined;
  }

  /** Turns to another master, or to more of the same; the one before shows until this one can. */
  async open(layout: AtlasLayout, fetchTexels: FetchTexels): Promise<void> {
    this.#opening.abort();
    const opening = new AbortController();
    this.#opening = opening;
    const { signal } = opening;
    const master = await PageMaster.open(this.#context, layout, fetchTexels, this.#changed, signal);
    if (signal.aborted) return master.destroy();
    this.#forget();
    this.#master?.destroy();
    this.#master = master;
    this.#changed();
  }

  /** @returns whether the frame has all the detail that it needs */
  draw({ cameras, moving, ...options }: Drawing): boolean {
    const master = this.#master;
    if (master === undefined) return false;
    const { width, height } = options;
    const size = { width, height };
    const motion = moving ? 'moving' : 'still';
    const { view, isBest } = master.viewFor(cameras[0]!, size, motion);
    if (this.canvas.width !== width) this.canvas.width = width;
    if (this.canvas.height !== height) this.canvas.height = height;
    const renderer = this.#rendererFor(view, options);
    renderer.draw(this.#addsUpLight ? cameras : cameras.slice(0, 1));
    this.#show({ frame: renderer.frame });
    return isBest;
  }

  #rendererFor(view: LevelView, options: FrameOptions): FrameRenderer {
    const id = this.#viewIds.get(view) ?? ++this.#views;
    this.#viewIds.set(view, id);
    const plain = this.#addsUpLight ? options : { ...options, sharpness: 0 };
    const key = JSON.stringify([id, plain]);
    const kept = this.#renderers.get(key);
    const renderer = kept ?? createFrameRenderer(this.#context, view.texture, plain, readShader);
    // The one used last goes to the end.
    this.#renderers.delete(key);
    this.#renderers.set(key, renderer);
    if (this.#renderers.size > MOST_RENDERERS) {
      const [oldest, first] = this.#renderers.entries().next().value!;
      first.destroy();
      this.#renderers.delete(oldest);
    }
    return renderer;
  }

  #forget(): void {
    for (const renderer of this.#renderers.values()) renderer.destroy();
    this.#renderers.clear();
  }
}
