import { InputError } from '../../errors.js';
import { placingChoices } from '../choices.js';
import { type PlacementOptions, placementIn } from '../complete/placement.js';
import {
  CROP_FIELDS,
  type Crop,
  cropProblems,
  type GPano,
  inRange,
  isWholeSphere,
  rangeInWords,
  rescaledCrop,
  type Size,
  statedCrop,
  wholeCrop,
} from './gpano.js';

/** What the user says of the master; angles in degrees. */
export interface ClaimOptions {
  /** Compass heading of the picture's centre, clockwise from north, 0 to below 360. */
  readonly heading?: number;
  readonly pitch?: number;
  readonly roll?: number;
  /** Where a viewer looks first. Heading, pitch and roll are kept as whole degrees. */
  readonly view?: {
    readonly heading?: number;
    readonly pitch?: number;
    readonly roll?: number;
    readonly fov?: number;
  };
  /** Where a partial master lies in the whole sphere. */
  readonly place?: PlacementOptions;
  /** The program that made the sphere. */
  readonly software?: string;
}

export type ClaimValue = string | number | boolean;
export type Claim = Readonly<Record<string, ClaimValue>>;

/** Right claims that are kept when the user says nothing else. */
const KEPT: readonly string[] = [
  'PoseHeadingDegrees',
  'PosePitchDegrees',
  'PoseRollDegrees',
  'InitialViewHeadingDegrees',
  'InitialViewPitchDegrees',
  'InitialViewRollDegrees',
  'InitialHorizontalFOVDegrees',
  'InitialCameraDolly',
  'CaptureSoftware',
  'StitchingSoftware',
  'SourcePhotosCount',
  'ExposureLockUsed',
  'FirstPhotoDate',
  'LastPhotoDate',
];

/**
 * Where the picture lies: as the user says, else as its metadata say where they are right for it
 * (or were, for a larger or smaller copy of it), else, when it is 2:1, the whole sphere.
 *
 * @throws InputError when none of these holds; it lists the choices.
 */
export function cropFor(
  picture: Size & { readonly file: string; readonly kind?: 'photo' | 'video' },
  gpano: GPano,
  given?: PlacementOptions,
): Crop {
  if (given !== undefined) {
    const { width: fullWidth, height: fullHeight, left, top } = placementIn(picture, given);
    return { fullWidth, fullHeight, left, top, width: picture.width, height: picture.height };
  }
  const stated = statedCrop(gpano);
  if (stated !== undefined && cropProblems(stated, picture).length === 0) return stated;
  const scaled = stated === undefined ? undefined : rescaledCrop(stated, picture);
  if (scaled !== undefined) return scaled;
  if (isWholeSphere(picture)) return wholeCrop(picture);
  throw placingChoices(picture, 'mark');
}

/** The GPano fields a master should have: the nine required, the right ones it had, and the user's. */
export function claimFor(
  picture: Size & { readonly file: string },
  gpano: GPano,
  options: ClaimOptions,
): Claim {
  const crop = cropFor(picture, gpano, options.place);
  const kept = Object.fromEntries(
    KEPT.filter((name) => gpano[name] !== undefined && inRange(name, gpano[name])).map((name) => [
      name,
      gpano[name] as ClaimValue,
    ]),
  );
  const own = ownFields(options);
  checkRanges(own);
  const pixels = Object.entries(CROP_FIELDS).map(([field, key]) => [field, crop[key]]);
  return {
    ProjectionType: 'equirectangular',
    UsePanoramaViewer: true,
    ...Object.fromEntries(pixels),
    PoseHeadingDegrees: 0,
    ...kept,
    ...own,
  };
}

function ownFields({ heading, pitch, roll, view = {}, software }: ClaimOptions): Claim {
  const whole = (value: number | undefined) =>
    value === undefined ? undefined : Math.round(value);
  const fields: Record<string, ClaimValue | undefined> = {
    PoseHeadingDegrees: heading,
    PosePitchDegrees: pitch,
    PoseRollDegrees: roll,
    InitialViewHeadingDegrees: whole(view.heading),
    InitialViewPitchDegrees: whole(view.pitch),
    InitialViewRollDegrees: whole(view.roll),
    InitialHorizontalFOVDegrees: view.fov,
    StitchingSoftware: software,
  };
  const set = Object.entries(fields).filter(([, value]) => value !== undefined);
  return Object.fromEntries(set) as Claim;
}

const OPTION_NAMES: Readonly<Record<string, string>> = {
  PoseHeadingDegrees: 'heading',
  PosePitchDegrees: 'pitch',
  PoseRollDegrees: 'roll',
  InitialViewHeadingDegrees: 'view.heading',
  InitialViewPitchDegrees: 'view.pitch',
  InitialViewRollDegrees: 'view.roll',
  InitialHorizontalFOVDegrees: 'view.fov',
};

function checkRanges(own: Claim): void {
  const problems = Object.entries(own)
    .filter(([name, value]) => !inRange(name, value))
    .map(([name, value]) => ({
      place: '',
      path: OPTION_NAMES[name] ?? name,
      message: `expected ${rangeInWords(name)}, found ${value}`,
    }));
  if (problems.length > 0) throw new InputError(problems);
}
