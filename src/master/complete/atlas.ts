import { type Chart, type ChartPicture, drawChart, toDirection } from './chart.js';
import { addFieldAt, type Field } from './field.js';
import type { Light } from './light.js';
import { type Material, suitsAt } from './material.js';
import type { Reductions } from './reduce.js';
import type { Direction } from './sphere.js';

/** Half the side of a patch: patches are 7 x 7. */
export const HALF = 3;

/** One source chart and the row of the atlas at which it begins. */
export interface Tile {
  readonly chart: Chart;
  readonly top: number;
}

/** All source charts of one level, one below the other. */
export interface Atlas {
  readonly width: number;
  readonly height: number;
  readonly tiles: readonly Tile[];
  /** The tile of each row. */
  readonly tileOf: Uint8Array;
  /** What the low field leaves of the colours, as much as it counts there: RGB interleaved. */
  readonly rest: Float32Array;
  /** The low field itself. */
  readonly low: Float32Array;
  /** SUITS where a patch centred there is known, suits and lies within its tile, FOREIGN where not all of it suits. */
  readonly valid: Uint8Array;
  readonly latitude: Float32Array;
  readonly light: Light;
}

export const SUITS = 1;
/** May only go on a little way from the rim, where it is cut there. */
export const FOREIGN = 2;

/** Marks where whole patches are good: a box as wide as a patch holds nothing but good pixels. */
function erode(good: Uint8Array, size: number): Uint8Array {
  const rows = new Uint8Array(good.length);
  const out = new Uint8Array(good.length);
  for (let y = 0; y < size; y++) {
    for (let x = 0, run = 0; x < size; x++) {
      run = good[y * size + x] ? run + 1 : 0;
      if (run > 2 * HALF) rows[y * size + x - HALF] = 1;
    }
  }
  for (let x = 0; x < size; x++) {
    for (let y = 0, run = 0; y < size; y++) {
      run = rows[y * size + x] ? run + 1 : 0;
      if (run > 2 * HALF) out[(y - HALF) * size + x] = 1;
    }
  }
  return out;
}

/** Draws the target's own chart (tile 0) and the source charts into one atlas. */
export async function drawAtlas(
  own: ChartPicture,
  charts: readonly Chart[],
  reductions: Reductions,
  low: Field,
  material: Material,
  light: Light,
): Promise<Atlas> {
  const pictures = [own];
  for (const c of charts) pictures.push(drawChart(await reductions.atScale(c.scale), c));
  const width = Math.max(...pictures.map((p) => p.chart.size));
  const height = pictures.reduce((sum, p) => sum + p.chart.size, 0);
  const atlas = {
    width,
    height,
    tiles: [] as Tile[],
    tileOf: new Uint8Array(height),
    rest: new Float32Array(width * height * 3),
    low: new Float32Array(width * height * 3),
    valid: new Uint8Array(width * height),
    latitude: new Float32Array(width * height),
    light,
  };
  const d = new Float64Array(3);
  const smooth = new Float64Array(3);
  let top = 0;
  pictures.forEach((picture, index) => {
    const { chart, rgb, known } = picture;
    const good = new Uint8Array(known.length);
    const cut = new Uint8Array(known.length);
    for (let y = 0, i = 0; y < chart.size; y++) {
      for (let x = 0; x < chart.size; x++, i++) {
        const p = (top + y) * width + x;
        toDirection(chart, x + 0.5, y + 0.5, d);
        smooth.fill(0);
        addFieldAt(low, d as unknown as Direction, 1, smooth);
        for (let c = 0; c < 3; c++) {
          atlas.low[3 * p + c] = smooth[c]!;
          const off = known[i] ? rgb[3 * i + c]! - smooth[c]! : 0;
          atlas.rest[3 * p + c] = off * light(smooth, c);
        }
        atlas.latitude[p] = Math.asin(Math.min(1, Math.max(-1, d[1]!)));
        good[i] = known[i] && suitsAt(material, d) ? 1 : 0;
        cut[i] = known[i]!;
      }
      atlas.tileOf[top + y] = index;
    }
    const valid = erode(good, chart.size);
    const other = erode(cut, chart.size);
    for (let i = 0; i < valid.length; i++) if (!valid[i] && other[i]) valid[i] = FOREIGN;
    for (let y = 0; y < chart.size; y++) {
      atlas.valid.set(valid.subarray(y * chart.size, (y + 1) * chart.size), (top + y) * width);
    }
    atlas.tiles.push({ chart, top });
    top += chart.size;
  });
  return atlas;
}
