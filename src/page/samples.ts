import { type Angles, anglesOf } from '../camera/orientation.js';
import type { Camera, Lens } from '../camera/types.js';
import { clamp, degrees, mix, wrapped } from '../math.js';
import { findLens } from '../projection/index.js';
import { LENS_VALUES, type Moves, type Run, strideOf } from './types.js';

export type Quaternion = readonly [x: number, y: number, z: number, w: number];

/** What the samples say of one instant, whatever the frame's size. */
export interface Moment {
  readonly turn: Quaternion;
  readonly lenses: readonly MomentLens[];
  /** The second lens's share. */
  readonly mix: number;
}

export interface MomentLens {
  readonly projection: string;
  /** Half the frame's shorter side in plane units. */
  readonly half: number;
  /** The projection's only parameter, if it has one. */
  readonly param: number;
}

export interface Way {
  /** Seconds. */
  readonly duration: number;
  readonly loop: boolean;
  at(seconds: number): Moment;
}

/** Between two samples the camera turns at most so far, as a cosine of half the angle; else it is a cut. */
const LEAST_COSINE = Math.cos((15 * Math.PI) / 180);

/** `floats` are the moves' samples, decoded. */
export function wayOf(
  { rate, loop, runs }: Pick<Moves, 'rate' | 'loop' | 'runs'>,
  floats: Float32Array,
): Way {
  const starts: { readonly run: Run; readonly sample: number; readonly value: number }[] = [];
  let [sample, value] = [0, 0];
  for (const run of runs) {
    starts.push({ run, sample, value });
    sample += run.count;
    value += run.count * strideOf(run);
  }
  const count = sample;
  const read = (index: number) => {
    const place = starts.findLast((start) => start.sample <= index)!;
    const at = place.value + (index - place.sample) * strideOf(place.run);
    return { run: place.run, values: floats.subarray(at, at + strideOf(place.run)) };
  };
  return {
    duration: (loop ? count : count - 1) / rate,
    loop,
    at(seconds) {
      const exact = loop ? wrapped(seconds * rate, count) : clamp(seconds * rate, 0, count - 1);
      const index = Math.floor(exact);
      const here = read(index);
      const next = read(loop ? (index + 1) % count : Math.min(count - 1, index + 1));
      const isCut = here.run !== next.run;
      return momentOf(here.run, here.values, (isCut ? here : next).values, exact - index);
    },
  };
}

function momentOf(run: Run, a: Float32Array, b: Float32Array, wanted: number): Moment {
  const dot = a[0]! * b[0]! + a[1]! * b[1]! + a[2]! * b[2]! + a[3]! * b[3]!;
  const share = Math.abs(dot) < LEAST_COSINE ? 0 : wanted;
  const sign = dot < 0 ? -1 : 1;
  const between = (index: number) => mix(a[index]!, b[index]!, share);
  const turned = [0, 1, 2, 3].map((index) => mix(a[index]!, sign * b[index]!, share));
  const length = Math.hypot(...turned);
  const lenses = run.projections.map((projection, index) => {
    const at = 4 + index * LENS_VALUES;
    return {
      projection,
      half: a[at]! ** (1 - share) * b[at]! ** share,
      param: between(at + 1),
    };
  });
  return {
    turn: turned.map((part) => part / length) as unknown as Quaternion,
    lenses,
    mix: run.projections.length === 2 ? between(4 + 2 * LENS_VALUES) : 0,
  };
}

/** The lens for a frame of `width` x `height`. */
export function lensFor(
  { projection, half, param }: MomentLens,
  { width, height }: { readonly width: number; readonly height: number },
): Lens {
  const [named] = findLens(projection).params;
  const unit = half / Math.min(width, height);
  return {
    projection,
    params: named === undefined ? {} : { [named.name]: param },
    halfExtent: [unit * width, unit * height],
  };
}

export function cameraOf(
  { turn: [x, y, z, w], lenses, mix }: Moment,
  size: { readonly width: number; readonly height: number },
): Camera {
  const rotation = [
    ...[1 - 2 * (y * y + z * z), 2 * (x * y + z * w), 2 * (x * z - y * w)],
    ...[2 * (x * y - z * w), 1 - 2 * (x * x + z * z), 2 * (y * z + x * w)],
    ...[2 * (x * z + y * w), 2 * (y * z - x * w), 1 - 2 * (x * x + y * y)],
  ];
  const made = lenses.map((lens) => lensFor(lens, size)) as unknown as Camera['lenses'];
  return { rotation, lenses: made, mix };
}

/** The same as angles in degrees: `fov` across the frame's shorter side, by the lens that counts more. */
export function momentView({ turn, lenses, mix }: Moment): Angles & { readonly fov: number } {
  const { projection, half, param } = lenses[mix > 0.5 ? 1 : 0]!;
  const law = findLens(projection);
  const [named] = law.params;
  const { ray } = law.toRay([half, 0], named === undefined ? {} : { [named.name]: param });
  return { ...anglesOf(turn), fov: 2 * degrees(Math.acos(clamp(-ray[2], -1, 1))) };
}
