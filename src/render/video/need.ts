import type { Camera } from '../../camera/types.js';
import type { AtlasLayout } from '../atlas.js';
import { directionAt, distance, resolutionAt } from '../resolution.js';

/** The part of a master's levels that frames look up. */
export interface Need {
  /** Levels. */
  readonly finest: number;
  readonly coarsest: number;
  /** Shares of the master's height, 0 to 1 from its top. */
  readonly top: number;
  readonly bottom: number;
}

/** Points along each side of a frame at which it is judged. */
const GRID = 13;

/** A frame as a texture's pictures are made for it. */
export interface View {
  /** At least one: the instants of its exposure. */
  readonly cameras: readonly Camera[];
  /** Pixels. */
  readonly width: number;
  readonly height: number;
  /** Rays along a pixel's side at most. */
  readonly samples: number;
}

export const everything = ({ levels }: AtlasLayout): Need => ({
  ...{ finest: 0, coarsest: levels - 1, top: 0, bottom: 1 },
});

export const isWithin = (part: Need, whole: Need): boolean =>
  part.finest >= whole.finest &&
  part.coarsest <= whole.coarsest &&
  part.top >= whole.top &&
  part.bottom <= whole.bottom;

export const together = (a: Need, b: Need): Need => ({
  finest: Math.min(a.finest, b.finest),
  coarsest: Math.max(a.coarsest, b.coarsest),
  top: Math.min(a.top, b.top),
  bottom: Math.max(a.bottom, b.bottom),
});

/** What a frame looks up at most: rather too much than too little, as it is judged at some points. */
export function needOf({ cameras, width, height, samples }: View, layout: AtlasLayout): Need {
  // A ball shows what is all round it.
  if (cameras.some(({ ball }) => ball !== undefined)) return everything(layout);
  const texels = layout.height / Math.PI;
  const needs = cameras.map((camera): Need => {
    const { top, bottom } = latitudes(camera);
    let finer = 0;
    let coarser = Number.POSITIVE_INFINITY;
    for (let i = 0; i < GRID * GRID; i++) {
      const found = resolutionAt(camera, width, height, ...placeOf(i));
      finer = Math.max(finer, found.finer);
      coarser = Math.min(coarser, found.coarser);
    }
    // shaders/frame.frag: lookups reach 0.8 of the rays' distance, less with several exposures.
    const reach = 0.5 / samples / Math.sqrt(cameras.length);
    const level = (footprint: number) =>
      Math.min(layout.levels - 1, Math.max(0, Math.log2(Math.max(1, texels * footprint))));
    return {
      finest: Math.max(0, Math.floor(level(reach / finer)) - 1),
      coarsest: Math.min(layout.levels - 1, Math.ceil(level(1 / coarser)) + 1),
      ...{ top, bottom },
    };
  });
  return needs.reduce(together);
}

const placeOf = (index: number): [number, number] => [
  (2 * (index % GRID)) / (GRID - 1) - 1,
  (2 * Math.floor(index / GRID)) / (GRID - 1) - 1,
];

/** Between neighbouring points the view goes no farther than this part of their distance. */
const BULGE = 0.8;

/** The highest and the lowest latitude that a frame shows, as shares of the master's height. */
function latitudes(camera: Camera): { top: number; bottom: number } {
  const rays = Array.from({ length: GRID * GRID }, (_, i) => directionAt(camera, ...placeOf(i)));
  const lines = rays.map(([, y]) => 0.5 - Math.asin(Math.max(-1, Math.min(1, y))) / Math.PI);
  let step = 0;
  for (let i = 0; i < rays.length; i++) {
    if (i % GRID > 0) step = Math.max(step, distance(rays[i]!, rays[i - 1]!));
    if (i >= GRID) step = Math.max(step, distance(rays[i]!, rays[i - GRID]!));
  }
  // The chord between two points as an angle.
  const angle = 2 * Math.asin(Math.min(1, step / 2));
  const margin = (BULGE * angle) / Math.PI;
  return {
    top: Math.max(0, Math.min(...lines) - margin),
    bottom: Math.min(1, Math.max(...lines) + margin),
  };
}
