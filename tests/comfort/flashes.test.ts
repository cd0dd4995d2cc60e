import { describe, expect, it } from 'vitest';
import { createFlashMeter } from '../../src/comfort/flashes.js';
import { type Cells, luminanceGrid } from '../../src/comfort/luminance.js';
import type { PixelFormat } from '../../src/encode/types.js';

/** WCAG 2.2's example screen, on which a field of 10 degrees is 341 x 256 pixels. */
const [WIDTH, HEIGHT] = [1024, 768];
const FPS = 30;
const grid = luminanceGrid(WIDTH, HEIGHT);

interface Flash {
  /** Frames from one change to the next: a flash lasts two of them. */
  readonly every: number;
  readonly changes: number;
  /** Relative luminances that take turns. */
  readonly low: number;
  readonly high: number;
  /** Of the screen's cells, from the top left. */
  readonly columns?: number;
  readonly rows?: number;
}

const CELLS = grid.columns * grid.rows;

/** Grey cells, which have no red in them. */
const grey = (luminance: Float32Array): Cells => ({
  luminance,
  redness: new Float32Array(luminance.length),
  saturated: new Uint8Array(luminance.length),
});

/** Cells of a dark screen, part of which changes; two still seconds before and after. */
function measured({ every, changes, low, high, columns = 1e9, rows = 1e9 }: Flash) {
  const meter = createFlashMeter(grid, FPS);
  const frame = (value: number) =>
    grey(
      Float32Array.from({ length: CELLS }, (_, cell) =>
        cell % grid.columns < columns && Math.floor(cell / grid.columns) < rows ? value : low,
      ),
    );
  for (let n = 0; n < 2 * FPS; n++) meter.add(frame(low));
  for (let n = 0; n < changes * every; n++) {
    meter.add(frame(Math.floor(n / every) % 2 === 0 ? high : low));
  }
  for (let n = 0; n < 2 * FPS; n++) meter.add(frame(changes % 2 === 0 ? low : high));
  return meter.found();
}

describe('the general flash threshold (WCAG 2.2, definition of general and red flash thresholds)', () => {
  it('allows three flashes in a second, and takes offence at the fourth', () => {
    expect(measured({ every: 3, changes: 6, low: 0, high: 1 })).toEqual([]);
    const [found] = measured({ every: 3, changes: 8, low: 0, high: 1 });
    expect(found).toMatchObject({ flashes: 4 });
    expect(found?.share).toBeCloseTo(1, 1);
  });

  it('counts within any one second only: three a second may go on', () => {
    // A change every 5 frames of 30 is a flash every third of a second.
    expect(measured({ every: 5, changes: 60, low: 0, high: 1 })).toEqual([]);
    expect(measured({ every: 3, changes: 60, low: 0, high: 1 })).toHaveLength(1);
  });

  it('says when', () => {
    const [found] = measured({ every: 2, changes: 20, low: 0, high: 1 });
    // The eighth change is frame 60 + 14, the second that ends with it begins at frame 45.
    expect(found?.from).toBeCloseTo(45 / 30, 6);
    // The last change but seven is forgotten a second after.
    expect(found?.to).toBeGreaterThan((60 + 38) / 30);
    expect(found?.to).toBeLessThanOrEqual((60 + 38) / 30 + 1);
  });

  it('takes changes of 10 % of the largest relative luminance or more', () => {
    expect(measured({ every: 2, changes: 20, low: 0.3, high: 0.395 })).toEqual([]);
    expect(measured({ every: 2, changes: 20, low: 0.3, high: 0.405 })).toHaveLength(1);
  });

  it('takes only those whose darker image lies below 0.80', () => {
    expect(measured({ every: 2, changes: 20, low: 0.81, high: 1 })).toEqual([]);
    expect(measured({ every: 2, changes: 20, low: 0.79, high: 1 })).toHaveLength(1);
  });

  it('sees flashes that come as slopes', () => {
    const meter = createFlashMeter(grid, FPS);
    for (let n = 0; n < 60; n++) {
      // Six frames up and down again: five flashes a second.
      const value = 0.5 - 0.3 * Math.cos((2 * Math.PI * n) / 6);
      meter.add(grey(new Float32Array(CELLS).fill(value)));
    }
    expect(meter.found()).toHaveLength(1);
    expect(meter.found()[0]?.flashes).toBeGreaterThanOrEqual(4);
  });

  it('does not count a change that nothing opposes', () => {
    const meter = createFlashMeter(grid, FPS);
    for (let n = 0; n < 60; n++) {
      // Stairs of 0.12 up, eight of them, over a second.
      meter.add(grey(new Float32Array(CELLS).fill(0.12 * Math.min(8, n >> 2))));
    }
    expect(meter.found()).toEqual([]);
  });

  it('allows what fills no more than a quarter of a field of 10 degrees', () => {
    const [across, down] = grid.field;
    const flash = { every: 2, changes: 20, low: 0, high: 1 };
    const side = { columns: Math.floor(across / 2), rows: Math.floor(down / 2) };
    expect(measured({ ...flash, ...side })).toEqual([]);
    expect(measured({ ...flash, columns: side.columns + 2, rows: side.rows + 2 })).toHaveLength(1);
  });

  it('is not passed by what flickers here and there, each at its own time', () => {
    const meter = createFlashMeter(grid, FPS);
    for (let n = 0; n < 60; n++) {
      // Every cell flashes five times a second, at a phase of its own.
      meter.add(
        grey(
          Float32Array.from({ length: CELLS }, (_, cell) =>
            Math.floor((n + 7 * cell) / 3) % 2 === 0 ? 0 : 1,
          ),
        ),
      );
    }
    expect(meter.found()).toEqual([]);
  });

  it('will not take frames of another size', () => {
    expect(() => createFlashMeter(grid, FPS).add(grey(new Float32Array(3)))).toThrow(
      `The meter takes ${grid.columns * grid.rows} cells, found 3.`,
    );
  });
});

describe('the red flash threshold (WCAG 2.0 and 2.1, working definition of saturated red transitions)', () => {
  const screen = luminanceGrid(64, 48);

  /** What is found in five seconds of two colours (sRGB codes) that take turns at every third frame. */
  function found(one: readonly number[], other: readonly number[], share = 1) {
    const meter = createFlashMeter(screen, FPS);
    const frame = (colour: readonly number[]) => {
      const pixels = new Uint8Array(64 * 48 * 4);
      for (let i = 0; i < 64 * 48; i++) {
        pixels.set([...(i % 64 < 64 * share ? colour : other), 255], 4 * i);
      }
      return screen.of(pixels, 'rgba');
    };
    for (let n = 0; n < 5 * FPS; n++) meter.add(frame(Math.floor(n / 3) % 2 === 0 ? one : other));
    return meter.found().map(({ kind }) => kind);
  }

  it('finds red that flashes though it grows hardly brighter', () => {
    // Relative luminances: red 128 is 0.2126 x 0.2159 = 0.046, black 0: no general flash.
    expect(found([128, 0, 0], [0, 0, 0])).toEqual(['red']);
    // Full red, 0.2126, and blue of 0.0722.
    expect(found([255, 0, 0], [0, 0, 255])).toEqual(['general', 'red']);
    expect(found([150, 0, 0], [0, 90, 0])).toEqual(['red']);
  });

  it('leaves other colours alone', () => {
    expect(found([0, 0, 255], [0, 0, 0])).toEqual([]);
    expect(found([0, 255, 0], [0, 0, 0])).toEqual(['general']);
  });

  it('takes R / (R + G + B) from 0.8 as saturated, in either state', () => {
    // Red of linear 0.5210 (code 191) with green: of 0.1070 (code 92) it is 0.830 of all, of 0.1274 (code 100)
    // 0.803, of 0.1384 (code 104) 0.790. The other state is black, which is no red.
    expect(found([191, 92, 0], [0, 0, 0])).toContain('red');
    expect(found([191, 100, 0], [0, 0, 0])).toContain('red');
    expect(found([191, 104, 0], [0, 0, 0])).not.toContain('red');
    // (0.5210 - 0.1384) x 320 is 122; the saturated state may be the weaker one: 0.1274 (code 100) x 320 is 41.
    expect(found([191, 104, 0], [100, 0, 0])).toContain('red');
  });

  it('takes changes of (R - G - B) x 320 of more than 20, negative values set to 0', () => {
    // Code 70 is 0.0612: 19.6. Code 72 is 0.0648: 20.7.
    expect(found([70, 0, 0], [0, 0, 0])).toEqual([]);
    expect(found([72, 0, 0], [0, 0, 0])).toEqual(['red']);
    // Against cyan it would be more than 20, were negative values counted.
    expect(found([70, 0, 0], [0, 60, 60])).toEqual([]);
  });

  it('allows what fills no more than a quarter of a field', () => {
    expect(found([128, 0, 0], [0, 0, 0], 0.05)).toEqual([]);
  });

  it('sees red in packed planes as well', () => {
    // 100 % red of BT.709 in limited range: 63, 102, 240; black 16, 128, 128.
    const red = screen.of(planes(new Uint8Array(64 * 48 * 1.5), 63, 102, 240), 'yuv420p');
    expect(red.saturated.every((flag) => flag === 1)).toBe(true);
    expect(Math.min(...red.redness)).toBeGreaterThan(315);
    const black = screen.of(planes(new Uint8Array(64 * 48 * 1.5), 17, 127, 129), 'yuv420p');
    expect(black.saturated.some((flag) => flag === 1)).toBe(false);
  });
});

describe('relative luminance of frames', () => {
  const small = luminanceGrid(64, 48);

  /** 100 % bars of BT.709 in limited range (shared facts: computed, and as ffmpeg gives them). */
  it.each([
    ['white', [235, 128, 128], 1],
    ['yellow', [219, 16, 138], 0.9278],
    ['green', [173, 42, 26], 0.7152],
    ['red', [63, 102, 240], 0.2126],
    ['blue', [32, 240, 118], 0.0722],
    ['black', [16, 128, 128], 0],
  ] as const)('of %s, packed as planes', (_name, [y, cb, cr], expected) => {
    const eight = planes(new Uint8Array(64 * 48 * 1.5), y, cb, cr);
    expect(spread(small.of(eight, 'yuv420p'), expected)).toBeLessThan(0.008);
    const ten = planes(new Uint16Array(64 * 48 * 1.5), 4 * y, 4 * cb, 4 * cr);
    const bytes = new Uint8Array(ten.buffer);
    expect(spread(small.of(bytes, 'yuv420p10le'), expected)).toBeLessThan(0.008);
  });

  it('of pixels, over black where they are transparent', () => {
    const pixels = (
      samples: Uint8Array | Uint16Array,
      colour: readonly number[],
      format: PixelFormat,
    ) => {
      for (let i = 0; i < samples.length; i++) samples[i] = colour[i % 4]!;
      return small.of(new Uint8Array(samples.buffer), format);
    };
    // sRGB's 128 is 0.215861 of linear light (IEC 61966-2-1).
    const grey = pixels(new Uint8Array(64 * 48 * 4), [128, 128, 128, 255], 'rgba');
    expect(spread(grey, 0.215861)).toBeLessThan(0.001);
    const half = pixels(new Uint8Array(64 * 48 * 4), [255, 255, 255, 51], 'rgba');
    expect(spread(half, 0.2)).toBeLessThan(0.001);
    const green = pixels(new Uint16Array(64 * 48 * 4), [0, 65535, 0, 65535], 'rgba64le');
    expect(spread(green, 0.7152)).toBeLessThan(0.001);
  });

  it('keeps left and right, top and bottom apart', () => {
    const large = luminanceGrid(320, 240);
    const frame = new Uint8Array(320 * 240 * 4);
    for (let y = 0; y < 120; y++) {
      for (let x = 160; x < 320; x++) frame.fill(255, 4 * (y * 320 + x), 4 * (y * 320 + x) + 4);
    }
    const cells = large.of(frame, 'rgba').luminance;
    const at = (x: number, y: number) => cells[y * large.columns + x];
    expect(at(large.columns - 1, 0)).toBeCloseTo(1, 5);
    expect(at(0, 0)).toBe(0);
    expect(at(large.columns - 1, large.rows - 1)).toBe(0);
  });
});

function planes<T extends Uint8Array | Uint16Array>(into: T, y: number, cb: number, cr: number): T {
  const luma = (into.length / 3) * 2;
  into.fill(y, 0, luma);
  into.fill(cb, luma, luma * 1.25);
  into.fill(cr, luma * 1.25);
  return into;
}

const spread = ({ luminance }: Cells, expected: number): number =>
  Math.max(...Array.from(luminance, (value) => Math.abs(value - expected)));
