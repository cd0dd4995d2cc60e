import type { Problem } from '../../errors.js';
import type { Tag } from '../metadata.js';

/**
 * Photo sphere XMP. Source: Google, "Photo Sphere XMP Metadata"; ranges of the pose from exiv2's
 * table of the GPano schema.
 */
export const GPANO_GROUP = 'XMP-GPano';

/** Where a picture lies in the whole sphere's picture, in that picture's pixels. */
export interface Crop {
  readonly fullWidth: number;
  readonly fullHeight: number;
  readonly left: number;
  readonly top: number;
  readonly width: number;
  readonly height: number;
}

export interface Size {
  readonly width: number;
  readonly height: number;
}

/** The tags of the GPano namespace by their names, as they are in the file. */
export type GPano = Readonly<Record<string, unknown>>;

export const CROP_FIELDS = {
  CroppedAreaImageWidthPixels: 'width',
  CroppedAreaImageHeightPixels: 'height',
  FullPanoWidthPixels: 'fullWidth',
  FullPanoHeightPixels: 'fullHeight',
  CroppedAreaLeftPixels: 'left',
  CroppedAreaTopPixels: 'top',
} as const satisfies Record<string, keyof Crop>;

/** The fields that one or the other of the specification's pages requires. */
export const REQUIRED_FIELDS: readonly string[] = [
  'ProjectionType',
  'UsePanoramaViewer',
  ...Object.keys(CROP_FIELDS),
  'PoseHeadingDegrees',
];

interface Range {
  readonly min: number;
  readonly max: number;
  /** Whether `min` and `max` themselves may be used. */
  readonly closed: readonly [boolean, boolean];
}

export const RANGES: Readonly<Record<string, Range>> = {
  PoseHeadingDegrees: { min: 0, max: 360, closed: [true, false] },
  PosePitchDegrees: { min: -90, max: 90, closed: [true, true] },
  PoseRollDegrees: { min: -180, max: 180, closed: [false, true] },
  InitialViewHeadingDegrees: { min: 0, max: 360, closed: [true, false] },
  InitialViewPitchDegrees: { min: -90, max: 90, closed: [true, true] },
  InitialViewRollDegrees: { min: -180, max: 180, closed: [false, true] },
  InitialHorizontalFOVDegrees: { min: 0, max: 360, closed: [false, true] },
};

export function inRange(name: string, value: unknown): boolean {
  const range = RANGES[name];
  if (range === undefined) return true;
  const number = typeof value === 'string' && value.trim() === '' ? Number.NaN : Number(value);
  const [low, high] = range.closed;
  const above = low ? number >= range.min : number > range.min;
  return above && (high ? number <= range.max : number < range.max);
}

/** `0 <= h < 360` as the user reads it. */
export function rangeInWords(name: string): string {
  const range = RANGES[name];
  if (range === undefined) return 'any value';
  const from = `${range.closed[0] ? 'from' : 'above'} ${range.min}`;
  return `${from} ${range.closed[1] ? 'to' : 'to below'} ${range.max} degrees`;
}

export function gpanoOf(tags: readonly Tag[]): GPano {
  const fields: Record<string, unknown> = {};
  for (const tag of tags) {
    if (tag.group === GPANO_GROUP && !(tag.name in fields)) fields[tag.name] = tag.value;
  }
  return fields;
}

/** Names of GPano fields that the file's metadata give more than once, with different values. */
export function contradictions(tags: readonly Tag[]): string[] {
  const values = new Map<string, Set<string>>();
  for (const tag of tags) {
    if (tag.group !== GPANO_GROUP) continue;
    values.set(tag.name, (values.get(tag.name) ?? new Set()).add(String(tag.value)));
  }
  return [...values].filter(([, set]) => set.size > 1).map(([name]) => name);
}

const isPixels = (value: unknown): boolean => Number.isInteger(Number(value)) && value !== '';

/** The crop that the fields state, or undefined when one of the six is missing or no whole number. */
export function statedCrop(gpano: GPano): Crop | undefined {
  const entries = Object.entries(CROP_FIELDS).map(
    ([field, key]) => [key, gpano[field]] as [keyof Crop, unknown],
  );
  if (entries.some(([, value]) => value === undefined || !isPixels(value))) return undefined;
  return Object.fromEntries(entries.map(([key, value]) => [key, Number(value)])) as unknown as Crop;
}

/** One pixel of rounding is allowed: a whole sphere's width is often odd in the making. */
const isTwoToOne = (width: number, height: number): boolean => Math.abs(width - 2 * height) <= 1;

export const isWholeSphere = ({ width, height }: Size): boolean => isTwoToOne(width, height);

/** Everything that is wrong with a crop for a picture of this size; empty when it is right. */
export function cropProblems(crop: Crop, picture: Size, place = ''): Problem[] {
  const problems: Problem[] = [];
  const say = (path: string, message: string) => problems.push({ place, path, message });
  if (crop.width !== picture.width || crop.height !== picture.height) {
    const found = `the picture's ${picture.width}x${picture.height}`;
    say('crop', `says the picture is ${crop.width}x${crop.height}, found ${found}`);
  }
  if (!(crop.fullWidth > 0 && crop.fullHeight > 0)) say('full size', 'must be above 0');
  else if (!isTwoToOne(crop.fullWidth, crop.fullHeight)) {
    const found = `${crop.fullWidth}x${crop.fullHeight}`;
    say('full size', `a whole sphere is twice as wide as high, found ${found}`);
  }
  if (crop.left < 0 || crop.left + crop.width > crop.fullWidth) {
    const found = `left ${crop.left} + width ${crop.width} for ${crop.fullWidth}`;
    say('left', `the picture must lie within the whole sphere's width, found ${found}`);
  }
  if (crop.top < 0 || crop.top + crop.height > crop.fullHeight) {
    const found = `top ${crop.top} + height ${crop.height} for ${crop.fullHeight}`;
    say('top', `the picture must lie within the whole sphere's height, found ${found}`);
  }
  return problems;
}

export const isWholeCrop = ({ width, height, fullWidth, fullHeight }: Crop): boolean =>
  width === fullWidth && height === fullHeight;

export function wholeCrop({ width, height }: Size): Crop {
  return { fullWidth: width, fullHeight: height, left: 0, top: 0, width, height };
}

/**
 * A right crop that was stated for another size of the same picture, scaled to this one; undefined
 * when the picture's shape is not the stated one's (within a pixel).
 */
export function rescaledCrop(crop: Crop, picture: Size): Crop | undefined {
  if (cropProblems(crop, crop).length > 0) return undefined;
  const scale = picture.width / crop.width;
  if (Math.abs(crop.height * scale - picture.height) > 1) return undefined;
  const fullHeight = Math.round((crop.fullWidth * scale) / 2);
  const scaled = {
    ...picture,
    fullWidth: 2 * fullHeight,
    fullHeight,
    left: Math.round(crop.left * scale),
    top: Math.round(crop.top * scale),
  };
  const left = Math.min(scaled.left, scaled.fullWidth - picture.width);
  const top = Math.min(scaled.top, scaled.fullHeight - picture.height);
  return left < 0 || top < 0 ? undefined : { ...scaled, left, top };
}
