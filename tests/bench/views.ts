import type { Camera } from '../../src/camera/types.js';
import type { GlContext } from '../../src/render/context.js';
import { createFrameRenderer } from '../../src/render/frame.js';
import type { MasterTexture } from '../../src/render/masterTexture.js';
import type { Quality } from '../../src/render/quality.js';
import { BLACK } from '../support/gpu.js';
import { cameraFor } from '../support/scenes.js';

/** The frames of all rows. */
export const WIDTH = 1080;
export const HEIGHT = 1920;
export const SIZE = `${WIDTH}x${HEIGHT}`;

/** Degrees that the view turns from one frame to the next. */
export const TURN = 1.5;

export interface BenchView {
  readonly projection: 'stereographic' | 'rectilinear';
  /** Degrees, along the shorter side. */
  readonly fov: number;
  readonly pitch: number;
}

export const VIEWS: readonly BenchView[] = [
  { projection: 'stereographic', fov: 240, pitch: -90 },
  { projection: 'rectilinear', fov: 75, pitch: 0 },
];

export const cameraAt = (view: BenchView, frame: number): Camera =>
  cameraFor({ ...view, yaw: frame * TURN }, WIDTH, HEIGHT);

/** Draws frames of a turning view. The next frame always has a new aim, whatever was drawn before. */
export interface Turning {
  /** Draws one frame and reads it back as packed 4:2:0. */
  frame(): Uint8Array;
  /** Only draws it, to the end. */
  draw(): void;
  /** Reads back what was drawn. */
  read(): Uint8Array;
  /** Seconds that so many frames take, drawn and read back. */
  time(frames: number): number;
  destroy(): void;
}

export function openTurning(
  context: GlContext,
  master: MasterTexture,
  view: BenchView,
  quality: Quality,
): Turning {
  const size = { width: WIDTH, height: HEIGHT };
  const renderer = createFrameRenderer(context, master, { ...size, quality, background: BLACK });
  const frame = new Uint8Array((WIDTH * HEIGHT * 3) / 2);
  let count = 0;
  const begin = () => renderer.draw([cameraAt(view, count++)]);
  const read = () => {
    renderer.read('yuv420p', frame);
    return frame;
  };
  return {
    frame() {
      begin();
      return read();
    },
    draw() {
      begin();
      context.gl.finish();
    },
    read,
    time(frames) {
      const start = performance.now();
      for (let i = 0; i < frames; i++) {
        begin();
        read();
      }
      return (performance.now() - start) / 1000;
    },
    destroy: renderer.destroy,
  };
}
