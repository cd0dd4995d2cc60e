import { setImmediate as breathe } from 'node:timers/promises';
import type { Framebuffer2D, Regl } from 'regl';
import { radians, TAU } from '../math.js';
import type { Level } from './levels.js';
import { makePasses, type Passes, type Tile } from './passes.js';
import { CAMERA_HEIGHT } from './place.js';
import { lookDown, lookUp } from './sight.js';
import type { Thing } from './things.js';

const HIGHEST_LAND = radians(28);
const SAMPLES_PER_SIDE = 2;
const LARGEST_TILE = 512;

interface Stage {
  readonly regl: Regl;
  readonly passes: Passes;
  readonly levels: readonly Level[];
  readonly things: readonly Thing[];
}

/**
 * Draws the valley, tile by tile.
 *
 * @returns RGB bytes, rows from the zenith down.
 */
export async function paintPicture(
  regl: Regl,
  width: number,
  levels: readonly Level[],
  things: readonly Thing[],
  onProgress: (share: number) => void,
): Promise<Uint8Array> {
  const stage = { regl, levels, things, passes: makePasses(regl, levels, things) };
  // Textures that wrap must have powers of two for sides.
  const half = Math.min(4096, Math.max(512, 2 ** Math.floor(Math.log2(width / 2))));
  const disc = Math.min(2048, half);
  const sky = floatTarget(regl, disc, disc, false);
  stage.passes.drawSky(sky);
  const mirror = drawMirror(stage, Math.min(2048, half), sky);
  try {
    return await drawTiles(stage, width, sky, mirror, onProgress);
  } finally {
    for (const each of [sky, mirror, stage.passes]) each.destroy();
  }
}

/** What the lake mirrors: the view from below the water, longitudes all round, latitudes 0 to 90 degrees. */
function drawMirror({ regl, passes, levels, things }: Stage, width: number, sky: Framebuffer2D) {
  const rows = width / 4;
  const longitudes = Float64Array.from(
    { length: width },
    (_, i) => ((i + 0.5) / width - 0.5) * TAU,
  );
  const { distance } = lookUp(levels, CAMERA_HEIGHT, longitudes, Math.PI / 2 / rows, rows);
  const sight = distanceTexture(regl, distance, width, rows);
  const mirror = floatTarget(regl, width, rows, true);
  const eye = [0, -CAMERA_HEIGHT, 0] as [number, number, number];
  const tile = [-Math.PI, 0, TAU, Math.PI / 2] as const;
  passes.drawView(
    mirror,
    { eye, tile, sight, sightWindow: [0, 0, 1, 1], things, mirrored: true },
    sky,
    sky,
  );
  sight.destroy();
  return mirror;
}

async function drawTiles(
  { regl, passes, levels, things }: Stage,
  width: number,
  sky: Framebuffer2D,
  mirror: Framebuffer2D,
  onProgress: (share: number) => void,
): Promise<Uint8Array> {
  const height = width / 2;
  const side = Math.min(LARGEST_TILE, width / 16);
  const n = SAMPLES_PER_SIDE;
  const step = TAU / width;
  const fine = floatTarget(regl, side * n, side * n, true);
  const coarse = floatTarget(regl, side, side, true);
  const developed = regl.framebuffer({
    width: side,
    height: side,
    colorType: 'uint8',
    depthStencil: false,
  });
  const nothing = distanceTexture(regl, new Float32Array([-1]), 1, 1);
  const pixels = new Uint8Array(width * height * 3);
  const landBlocks = Math.ceil((Math.PI / 2 + HIGHEST_LAND) / (side * step));
  for (let left = 0; left < width; left += side) {
    const longitudes = Float64Array.from(
      { length: side * n },
      (_, i) => (left + (i + 0.5) / n) * step - Math.PI,
    );
    const seen = lookDown(levels, CAMERA_HEIGHT, longitudes, step / n, landBlocks * side * n);
    const sight = distanceTexture(regl, seen.distance, seen.columns, seen.rows);
    for (let block = 0; block * side < height; block++) {
      const tile: Tile = [
        left * step - Math.PI,
        block * side * step - Math.PI / 2,
        side * step,
        side * step,
      ];
      const here = things.filter((thing) => overlaps(thing, tile));
      const land = block < landBlocks;
      // Open sky is smooth: one sample a pixel does.
      const [target, perSide] = land || here.length > 0 ? [fine, n] : [coarse, 1];
      const view = {
        eye: [0, CAMERA_HEIGHT, 0] as [number, number, number],
        tile,
        sight: land ? sight : nothing,
        sightWindow: land
          ? ([0, block / landBlocks, 1, 1 / landBlocks] as const)
          : ([0, 0, 1, 1] as const),
        things: here,
        mirrored: false,
      };
      passes.drawView(target, view, sky, mirror);
      passes.develop(developed, target, side, perSide, [left, block * side]);
      copy(regl.read({ framebuffer: developed }), side, pixels, width, left, height - block * side);
      onProgress((left + (side * (block + 1) * side) / height) / width);
    }
    sight.destroy();
    await breathe();
  }
  for (const each of [fine, coarse, developed, nothing]) each.destroy();
  return pixels;
}

function distanceTexture(regl: Regl, data: Float32Array, width: number, height: number) {
  return regl.texture({ data, width, height, format: 'luminance', type: 'float' });
}

function floatTarget(regl: Regl, width: number, height: number, depth: boolean): Framebuffer2D {
  const color = regl.texture({
    width,
    height,
    type: 'float',
    mag: 'linear',
    min: 'linear',
    wrapS: 'repeat',
    wrapT: 'clamp',
  });
  return regl.framebuffer({ color, depth, stencil: false });
}

function overlaps(
  thing: Thing,
  [longitude, latitude, width, height]: readonly [number, number, number, number],
): boolean {
  const away = thing.longitude - (longitude + width / 2);
  const across = Math.abs(Math.atan2(Math.sin(away), Math.cos(away)));
  return across < thing.reach + width / 2 && thing.low < latitude + height && thing.high > latitude;
}

/** Puts a tile (RGBA, rows from below) into the picture (RGB, rows from above); `bottom` is the row below it. */
function copy(
  tile: Uint8Array,
  side: number,
  pixels: Uint8Array,
  width: number,
  left: number,
  bottom: number,
): void {
  for (let row = 0; row < side; row++) {
    let to = ((bottom - 1 - row) * width + left) * 3;
    for (let from = row * side * 4; from < (row + 1) * side * 4; from += 4) {
      pixels[to++] = tile[from] as number;
      pixels[to++] = tile[from + 1] as number;
      pixels[to++] = tile[from + 2] as number;
    }
  }
}
