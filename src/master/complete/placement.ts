import { InputError } from '../../errors.js';

/** What is known about where a partial master lies on the sphere. Give one of the groups. */
export interface PlacementOptions {
  /** The crop, as GPano metadata give it: the whole sphere's size and where the picture lies in it. */
  readonly full?: { readonly width: number; readonly height: number };
  readonly left?: number;
  readonly top?: number;
  /** Latitudes in degrees of the picture's upper and lower edges, -90 to 90. One is enough. */
  readonly topLatitude?: number;
  readonly bottomLatitude?: number;
  /** The row, in pixels from the picture's top, at which the horizon (latitude 0) lies. */
  readonly horizonRow?: number;
  /** How many degrees of longitude the picture is wide; with latitudes or horizon. Default 360. */
  readonly across?: number;
}

export interface Placement {
  readonly width: number;
  readonly height: number;
  readonly left: number;
  readonly top: number;
}

const CHOICES =
  'Say where the picture lies by one of: the whole size in pixels and how far from its left and top edges it lies (the crop fields of GPano), ' +
  'the latitude of its top or bottom edge in degrees, or the row of the horizon';

/** Rows by which two latitudes may miss the picture's height: what rounding to whole pixels explains. */
const SLACK_ROWS = 1.5;

const fail = (message: string): never => {
  throw new InputError(message);
};

function checked(canvas: Placement, size: { width: number; height: number }): Placement {
  const { width, height, left, top } = canvas;
  const below = height - top - size.height;
  if (top < 0 || below < 0 || left < 0 || left + size.width > width) {
    fail(
      `expected the ${size.width}x${size.height} picture to lie within the ${width}x${height} sphere, ` +
        `found it at left ${left}, top ${top}, which ends at column ${left + size.width}, row ${top + size.height}. ` +
        `${CHOICES}.`,
    );
  }
  return canvas;
}

function fromCrop(size: { width: number; height: number }, options: PlacementOptions): Placement {
  const { full, left = 0, top = 0 } = options;
  if (!full)
    return fail(`expected the whole sphere's size together with left and top. ${CHOICES}.`);
  const whole = [full.width, full.height, left, top].every(Number.isInteger);
  if (!whole || full.width !== 2 * full.height || full.height < 1) {
    fail(
      `expected the whole sphere's size in whole pixels, twice as wide as high, and whole left and top, ` +
        `found ${full.width}x${full.height}, left ${left}, top ${top}.`,
    );
  }
  return checked({ ...full, left, top }, size);
}

function fromAngles(size: { width: number; height: number }, options: PlacementOptions): Placement {
  const { topLatitude, bottomLatitude, horizonRow, across = 360 } = options;
  if (!(across > 0 && across <= 360)) {
    fail(`expected a width of more than 0 and at most 360 degrees, found ${across}.`);
  }
  for (const latitude of [topLatitude, bottomLatitude]) {
    if (latitude !== undefined && !(latitude >= -90 && latitude <= 90)) {
      fail(`expected latitudes from -90 to 90 degrees, found ${latitude}.`);
    }
  }
  // A whole sphere has an even width; an odd one gains a column, which is filled like any hole.
  const height = Math.ceil((size.width * 360) / across / 2 - 1e-9);
  const rowsPerDegree = height / 180;
  if (topLatitude !== undefined && bottomLatitude !== undefined) {
    const span = (topLatitude - bottomLatitude) * rowsPerDegree;
    if (Math.abs(span - size.height) > SLACK_ROWS) {
      const covers = (size.height / rowsPerDegree).toFixed(2);
      fail(
        `expected the latitudes to span ${covers} degrees, as the ${size.width}x${size.height} picture does ` +
          `when it is ${across} degrees wide (it is never stretched), found ${topLatitude} to ${bottomLatitude}. ` +
          'Give only one of them, mend them, or say how many degrees it is wide (across).',
      );
    }
  }
  const top =
    horizonRow !== undefined
      ? height / 2 - horizonRow
      : topLatitude !== undefined
        ? (90 - topLatitude) * rowsPerDegree
        : (90 - bottomLatitude!) * rowsPerDegree - size.height;
  const left = Math.floor((2 * height - size.width) / 2);
  // Half a row of rounding must not push a picture that reaches a pole over it.
  const row = Math.round(top);
  const within = Math.min(Math.max(row, 0), Math.max(0, height - size.height));
  const settled = Math.abs(within - top) <= SLACK_ROWS ? within : row;
  return checked({ width: 2 * height, height, left, top: settled }, size);
}

/**
 * Where a master of `size` pixels lies on a true 2:1 canvas. Never stretches: the canvas takes the
 * picture's own scale, and everything it does not cover is a hole. With no options a 2:1 picture
 * is the whole sphere.
 *
 * Throws InputError, naming the choices, when the options are missing, contradict each other or
 * put the picture outside the sphere.
 */
export function placement(
  size: { readonly width: number; readonly height: number },
  options: PlacementOptions = {},
): Placement {
  const { full, left, top, topLatitude, bottomLatitude, horizonRow } = options;
  const crop = full !== undefined || left !== undefined || top !== undefined;
  const latitudes = topLatitude !== undefined || bottomLatitude !== undefined;
  const ways = [crop, latitudes, horizonRow !== undefined].filter(Boolean).length;
  if (ways > 1) fail(`expected one way to place the picture, found ${ways}. ${CHOICES}.`);
  if (crop) return fromCrop(size, options);
  if (ways === 1) return fromAngles(size, options);
  if (size.width !== 2 * size.height) {
    fail(
      `expected a picture twice as wide as high, found ${size.width}x${size.height}. ${CHOICES}.`,
    );
  }
  return { ...size, left: 0, top: 0 };
}

/** The same for a file, with which its problems are told. */
export function placementIn(
  master: { readonly file: string; readonly width: number; readonly height: number },
  options?: PlacementOptions,
): Placement {
  try {
    return placement(master, options);
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    throw new InputError(error.problems.map((problem) => ({ ...problem, place: master.file })));
  }
}
