import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { decodeSrgb, encodeSrgb } from '../../src/colour.js';
import { pixels } from '../../src/master/pixels.js';
import { mix } from '../../src/math.js';
import { type GlContext, openContext } from '../../src/render/context.js';
import { exposuresOf } from '../../src/render/motion.js';
import { type Quality, SAMPLING } from '../../src/render/quality.js';
import { BLACK, upload, withRenderer } from '../support/gpu.js';
import { cameraFor } from '../support/scenes.js';

const SIDE = 64;
const FPS = 25;
const FOV = 24;

let context: GlContext;
beforeAll(async () => {
  context = await openContext();
});
afterAll(() => context.close());

const DARK = 64;
const BRIGHT = 192;

/** Dark to the left of the centre, bright to its right. */
function halves(width: number) {
  const data = new Uint8Array((width * width * 3) / 2);
  for (let i = 0; i < data.length; i++)
    data[i] = Math.floor(i / 3) % width < width / 2 ? DARK : BRIGHT;
  return pixels(width, width / 2, data);
}

/** Degrees a second by which the view turns. */
const cameraAt = (speed: number) => (seconds: number) =>
  cameraFor({ projection: 'rectilinear', fov: FOV, yaw: speed * seconds }, SIDE, SIDE);

/** The middle row's red, 0 to 255 with fractions. */
function middleRow(speed: number, shutter: number, quality: Quality): number[] {
  const texture = upload(context, halves(4096));
  const frame = { width: SIDE, height: SIDE, background: BLACK, quality, deep: true };
  const words = new Uint16Array(SIDE * SIDE * 4);
  withRenderer(context, texture, frame, (renderer) => {
    const angle = { fps: FPS, angle: shutter };
    renderer.draw(exposuresOf(cameraAt(speed), 0, angle, SAMPLING[quality], SIDE, SIDE));
    renderer.read('rgba64le', new Uint8Array(words.buffer));
  });
  texture.destroy();
  return Array.from({ length: SIDE }, (_, x) => words[((SIDE / 2) * SIDE + x) * 4]! / 257);
}

/** The same in double precision: each pixel's bright share, averaged over the exposure, then encoded. */
function analytic(speed: number, shutter: number): number[] {
  const steps = 4096;
  const open = shutter / 360 / FPS;
  const scale = SIDE / 2 / Math.tan((FOV * Math.PI) / 360);
  return Array.from({ length: SIDE }, (_, x) => {
    let bright = 0;
    for (let step = 0; step < steps; step++) {
      const yaw = (speed * ((step + 0.5) / steps - 0.5) * open * Math.PI) / 180;
      const edge = SIDE / 2 - scale * Math.tan(yaw);
      bright += Math.min(1, Math.max(0, x + 1 - edge)) / steps;
    }
    return 255 * encodeSrgb(mix(decodeSrgb(DARK / 255), decodeSrgb(BRIGHT / 255), bright));
  });
}

describe('motion blur', () => {
  // 180 degrees at 25 frames a second: 0.02 s, in which these speeds move the edge 4 and 11 pixels.
  it.each([
    ['best', 75, 180],
    ['best', 210, 180],
    ['best', 100, 360],
  ] as const)(
    'at %s is the box filter of a moving edge to 1 code (%d degrees a second, shutter %d)',
    (quality, speed, shutter) => {
      const expected = analytic(speed, shutter);
      const drawn = middleRow(speed, shutter, quality);
      expect(Math.max(...drawn.map((value, x) => Math.abs(value - expected[x]!)))).toBeLessThan(1);
    },
  );

  it('leaves a frozen frame as it is, and a still camera whatever the shutter', () => {
    const count = (speed: number, angle: number) =>
      exposuresOf(cameraAt(speed), 1, { fps: FPS, angle }, SAMPLING.final, SIDE, SIDE).length;
    expect(count(200, 0)).toBe(1);
    expect(count(0, 360)).toBe(1);
    expect(count(200, 180)).toBeGreaterThan(8);
  });
});
