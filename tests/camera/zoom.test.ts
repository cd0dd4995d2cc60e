import { describe, expect, it } from 'vitest';
import { resolveCamera } from '../../src/camera/resolve.js';
import { shownFov } from '../../src/camera/shown.js';
import type { FieldOfView, ViewSample } from '../../src/camera/types.js';
import { zoomed, zoomOf } from '../../src/camera/zoom.js';
import { degrees } from '../../src/math.js';
import { findLens, projectionNames } from '../../src/projection/index.js';
import type { FovSide } from '../../src/scene/types.js';

const frame = { width: 1600, height: 900 };
const SIDES: readonly FovSide[] = ['horizontal', 'vertical', 'diagonal'];

function cameraAt(name: string, from: FieldOfView, to: FieldOfView, mix: number) {
  const still = { from, to: from, mix: 0 };
  const end = { name, params: {}, fov: still };
  const sample: ViewSample = {
    orientation: [0, 0, 0, 1],
    fov: { from, to, mix },
    projection: { from: end, to: end, mix: 0 },
  };
  return resolveCamera(sample, frame.width, frame.height);
}

const cases = projectionNames.flatMap((name) => SIDES.map((side) => [name, side] as const));

describe.each(cases)('zooming in %s along the %s side', (name, side) => {
  const { max } = findLens(name).fovLimit(side as 'diagonal', {});
  const [from, to] = [0.05, 0.75].map((part) => ({ degrees: part * degrees(max), side })) as [
    FieldOfView,
    FieldOfView,
  ];
  const width = (share: number) => cameraAt(name, from, to, share).lenses[0].halfExtent[0];

  it('changes the scale by the same ratio in each step', () => {
    const ratio = width(0.1) / width(0);
    expect(ratio).toBeGreaterThan(1.05);
    for (let step = 1; step < 10; step++) {
      expect(width((step + 1) / 10) / width(step / 10)).toBeCloseTo(ratio, 9);
    }
  });

  it('shows what it is said to show', () => {
    const shown = (share: number) =>
      shownFov(cameraAt(name, from, to, share), side, frame.width, frame.height);
    expect(shown(0)).toBeCloseTo(from.degrees, 9);
    expect(shown(1)).toBeCloseTo(to.degrees, 9);
    const projection = findLens(name);
    const measure = { projection, params: {}, axis: side as 'diagonal', frame };
    expect(shown(0.3)).toBeCloseTo(zoomed(measure, from.degrees, to.degrees, 0.3), 9);
  });
});

describe('a zoom', () => {
  const measure = (name: string) => ({
    projection: findLens(name),
    params: {},
    axis: 'horizontal' as const,
    frame,
  });

  it('of a steady field of view does not move by a bit', () => {
    expect(zoomed(measure('stereographic'), 251.3, 251.3, 0.37)).toBe(251.3);
  });

  it('is known beyond the range of a projection, without a kink', () => {
    for (const name of projectionNames) {
      const zoom = (fov: number) => zoomOf(measure(name), fov);
      const knee = 0.8 * degrees(findLens(name).fovLimit('horizontal', {}).max);
      expect(zoom(knee + 0.01) - zoom(knee)).toBeCloseTo(zoom(knee) - zoom(knee - 0.01), 6);
      for (let fov = 5; fov < 360; fov += 5) expect(zoom(fov + 5)).toBeGreaterThan(zoom(fov));
    }
  });

  it('has an inverse there too', () => {
    // Rectilinear: z = ln tan(fov / 2) up to 144 degrees, then its tangent, of slope 1 / sin(144).
    const [slope, knee] = [Math.PI / 180 / Math.sin((144 * Math.PI) / 180), 144];
    const z = (fov: number) => Math.log(Math.tan((fov * Math.PI) / 360));
    const middle = (z(knee) + (250 - knee) * slope + z(60)) / 2;
    const wanted = knee + (middle - z(knee)) / slope;
    expect(zoomed(measure('rectilinear'), 60, 250, 0.5)).toBeCloseTo(wanted, 5);
  });
});
