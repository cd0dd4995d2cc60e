import { describe, expect, it } from 'vitest';
import {
  anglesOf,
  orientationOf,
  rotationMatrix,
  slerpOrientation,
} from '../../src/camera/orientation.js';
import type { Orientation } from '../../src/camera/types.js';
import { degrees, radians } from '../../src/math.js';
import { latitudeOf, longitudeOf } from '../../src/projection/sphere.js';
import type { Ray } from '../../src/projection/types.js';
import { randoms } from '../projection/support.js';

const FORWARD: Ray = [0, 0, -1];
const UP: Ray = [0, 1, 0];
const RIGHT: Ray = [1, 0, 0];

function turned(orientation: Orientation, [x, y, z]: Ray): Ray {
  const m = rotationMatrix(orientation);
  const row = (r: number) => m[r]! * x + m[r + 3]! * y + m[r + 6]! * z;
  return [row(0), row(1), row(2)];
}

const looksAt = (orientation: Orientation) => {
  const ray = turned(orientation, FORWARD);
  return [degrees(longitudeOf(ray)), degrees(latitudeOf(ray))] as const;
};

function expectRay(found: Ray, expected: Ray) {
  for (const axis of [0, 1, 2] as const) expect(found[axis]).toBeCloseTo(expected[axis], 14);
}

// Plain products of the three matrices as the conventions write them, row by row.
function byMatrices(yaw: number, pitch: number, roll: number, ray: Ray): Ray {
  const [y, p, r] = [radians(-yaw), radians(pitch), radians(-roll)];
  const aboutZ = ([a, b, c]: Ray): Ray => [
    a * Math.cos(r) - b * Math.sin(r),
    a * Math.sin(r) + b * Math.cos(r),
    c,
  ];
  const aboutX = ([a, b, c]: Ray): Ray => [
    a,
    b * Math.cos(p) - c * Math.sin(p),
    b * Math.sin(p) + c * Math.cos(p),
  ];
  const aboutY = ([a, b, c]: Ray): Ray => [
    a * Math.cos(y) + c * Math.sin(y),
    b,
    c * Math.cos(y) - a * Math.sin(y),
  ];
  return aboutY(aboutX(aboutZ(ray)));
}

describe('orientation', () => {
  it('unturned looks at the centre of the master', () => {
    expect(rotationMatrix(orientationOf(0, 0, 0))).toEqual([1, 0, 0, 0, 1, 0, 0, 0, 1]);
  });

  it('turns right by positive yaw, up by positive pitch', () => {
    expect(looksAt(orientationOf(30, 0, 0))[0]).toBeCloseTo(30, 12);
    expect(looksAt(orientationOf(-90, 0, 0))[0]).toBeCloseTo(-90, 12);
    expect(looksAt(orientationOf(0, 25, 0))[1]).toBeCloseTo(25, 12);
    expect(looksAt(orientationOf(120, -40, 77))[0]).toBeCloseTo(120, 12);
    expect(looksAt(orientationOf(120, -40, 77))[1]).toBeCloseTo(-40, 12);
  });

  it('looks straight down by pitch -90 with the yaw direction at the top of the frame', () => {
    const down = orientationOf(50, -90, 0);
    expectRay(turned(down, FORWARD), [0, -1, 0]);
    expect(degrees(longitudeOf(turned(down, UP)))).toBeCloseTo(50, 12);
  });

  it('turns the camera clockwise by positive roll: its top goes to the right', () => {
    expectRay(turned(orientationOf(0, 0, 90), UP), [1, 0, 0]);
    expectRay(turned(orientationOf(0, 0, 90), RIGHT), [0, -1, 0]);
    expectRay(turned(orientationOf(0, 0, 30), UP), [0.5, Math.sqrt(0.75), 0]);
  });

  it('is Ry(-yaw) · Rx(pitch) · Rz(-roll), in double precision', () => {
    const next = randoms(21);
    for (let i = 0; i < 200; i++) {
      const [yaw, pitch, roll] = [next() * 1440 - 720, next() * 360 - 180, next() * 720 - 360];
      for (const ray of [FORWARD, UP, RIGHT]) {
        expectRay(turned(orientationOf(yaw, pitch, roll), ray), byMatrices(yaw, pitch, roll, ray));
      }
    }
  });

  it('gives back yaw, pitch and roll', () => {
    const next = randoms(22);
    for (let i = 0; i < 200; i++) {
      const [yaw, pitch, roll] = [next() * 360 - 180, next() * 179.8 - 89.9, next() * 360 - 180];
      const found = anglesOf(orientationOf(yaw, pitch, roll));
      expect(found.yaw).toBeCloseTo(yaw, 9);
      expect(found.pitch).toBeCloseTo(pitch, 9);
      expect(found.roll).toBeCloseTo(roll, 9);
    }
  });

  it('counts all turning as yaw when looking straight up or down', () => {
    const up = anglesOf(orientationOf(40, 90, 15));
    expect(up.yaw).toBeCloseTo(25, 9);
    expect(up.pitch).toBeCloseTo(90, 9);
    expect(up.roll).toBe(0);
    const down = anglesOf(orientationOf(40, -90, 15));
    expect(down.yaw).toBeCloseTo(55, 9);
    expect(down.pitch).toBeCloseTo(-90, 9);
    for (const [pitch, { yaw }] of [
      [90, up],
      [-90, down],
    ] as const) {
      expectRay(turned(orientationOf(yaw, pitch, 0), UP), turned(orientationOf(40, pitch, 15), UP));
    }
  });
});

// Shoemake, Animating Rotation with Quaternion Curves, SIGGRAPH 1985: identity to 90 degrees about y.
describe('slerp', () => {
  const identity: Orientation = [0, 0, 0, 1];
  const quarter: Orientation = [0, Math.SQRT1_2, 0, Math.SQRT1_2];

  it.each([
    [0, 1, 0],
    [0.25, 0.980785, 0.19509],
    [0.5, 0.92388, 0.382683],
    [1, Math.SQRT1_2, Math.SQRT1_2],
  ])('at %f has w %f, y %f', (share, w, y) => {
    const found = slerpOrientation(identity, quarter, share);
    expect(found[3]).toBeCloseTo(w, 6);
    expect(found[1]).toBeCloseTo(y, 6);
    expect(Math.hypot(...found)).toBeCloseTo(1, 15);
  });

  it('takes the shorter way round: from yaw 170 to -170 over 180', () => {
    const found = slerpOrientation(orientationOf(170, 0, 0), orientationOf(-170, 0, 0), 0.25);
    expect(looksAt(found)[0]).toBeCloseTo(175, 10);
  });

  it('treats an orientation and its negative as the same', () => {
    const negative: Orientation = [0, 0, 0, -1];
    expect(slerpOrientation(identity, negative, 0.5)).toEqual(identity);
  });

  it.each([1e-9, 1e-6, 1e-4, 0.1])('is exact for a turn of %f degrees', (yaw) => {
    const found = slerpOrientation(identity, orientationOf(yaw, 0, 0), 0.25);
    expect(Math.abs(anglesOf(found).yaw - yaw / 4)).toBeLessThan(yaw * 1e-7);
    expect(Math.hypot(...found)).toBeCloseTo(1, 15);
  });

  it('stays finite between opposite orientations', () => {
    const found = slerpOrientation(identity, orientationOf(180, 0, 0), 0.5);
    expect(Math.abs(looksAt(found)[0])).toBeCloseTo(90, 10);
  });
});
