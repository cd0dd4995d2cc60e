import { execFileSync } from 'node:child_process';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Pixels } from '../../src/master/pixels.js';
import { type GlContext, openContext } from '../../src/render/context.js';
import { BLACK, drawFrame, upload } from '../support/gpu.js';
import { photo } from '../support/photos.js';
import { psnr } from '../support/reference.js';
import { cameraFor, type View } from '../support/scenes.js';

/** One unfiltered, bilinear sample a pixel, in gamma space: only views that magnify are comparable. */
const LEAST_PSNR = 35;
const SIDE = 400;

interface OutsideView extends View {
  /** ffmpeg's name of the projection; its fov is the full angle along each side, as ours. */
  readonly filter: string;
  /** Compared is what lies within this share of half the frame's side. */
  readonly radius: number;
}

const VIEWS: readonly OutsideView[] = [
  { filter: 'flat', projection: 'rectilinear', fov: 60, radius: 2 },
  { filter: 'flat', projection: 'rectilinear', fov: 90, yaw: 40, pitch: 25, radius: 2 },
  {
    filter: 'flat',
    projection: 'rectilinear',
    fov: 70,
    yaw: -130,
    pitch: -35,
    roll: 15,
    radius: 2,
  },
  { filter: 'sg', projection: 'stereographic', fov: 120, yaw: 75, pitch: -20, radius: 2 },
  { filter: 'sg', projection: 'stereographic', fov: 160, pitch: -90, radius: 2 },
  // Towards its rim the ball shrinks the master, which one sample a pixel cannot follow.
  { filter: 'ball', projection: 'mirror-ball', fov: 360, yaw: 20, pitch: 10, radius: 0.75 },
];

let context: GlContext;
let master: Pixels;
beforeAll(async () => {
  [context, master] = await Promise.all([openContext(), photo('park')]);
});
afterAll(() => context.close());

describe("frames against ffmpeg's v360 filter", () => {
  it.each(VIEWS)('$projection, fov $fov, yaw $yaw, pitch $pitch, roll $roll', (view) => {
    const texture = upload(context, master);
    const options = { width: SIDE, height: SIDE, background: BLACK, quality: 'draft' } as const;
    const ours = drawFrame(context, texture, cameraFor(view, SIDE, SIDE), options);
    texture.destroy();
    expect(psnr(within(ours, view.radius), within(v360(view), view.radius))).toBeGreaterThan(
      LEAST_PSNR,
    );
  });
});

function v360({ filter, fov, yaw = 0, pitch = 0, roll = 0 }: OutsideView): Uint8Array {
  const size = `w=${SIDE}:h=${SIDE}:h_fov=${fov}:v_fov=${fov}`;
  const turn = `yaw=${yaw}:pitch=${pitch}:roll=${roll}`;
  const { width, height, data } = master;
  const input = ['-f', 'rawvideo', '-pix_fmt', 'rgb24', '-s', `${width}x${height}`, '-i', '-'];
  const graph = `format=gbrp,v360=e:${filter}:${size}:${turn}:interp=line,format=rgba`;
  const output = ['-vf', graph, '-f', 'rawvideo', '-'];
  return execFileSync(process.env.FFMPEG_BIN ?? 'ffmpeg', ['-v', 'error', ...input, ...output], {
    input: data,
    maxBuffer: 2 ** 24,
  });
}

/** The frame with everything outside a circle made black. */
function within(rgba: Uint8Array, radius: number): Uint8Array {
  return rgba.map((value, i) => {
    const pixel = i >> 2;
    const x = ((pixel % SIDE) + 0.5) / SIDE - 0.5;
    const y = (Math.floor(pixel / SIDE) + 0.5) / SIDE - 0.5;
    return Math.hypot(x, y) > radius / 2 ? 0 : value;
  });
}
