import { byLatitude, completeCommand, markCommand } from '../commands.js';
import {
  contradictions,
  cropProblems,
  GPANO_GROUP,
  type GPano,
  gpanoOf,
  inRange,
  RANGES,
  REQUIRED_FIELDS,
  rangeInWords,
  statedCrop,
} from '../mark/gpano.js';
import { findTag, type Tag } from '../metadata.js';
import { otherProjection, smallness } from '../sphere.js';
import { type Coverage, isWhole } from './coverage.js';
import type { Photo } from './photo.js';
import type { Claim } from './types.js';

/** What was found in the pixels. */
export interface PictureFacts {
  readonly coverage: Coverage;
  /** Share of the sphere. */
  readonly holesPercent: number;
  /** Neither edges nor poles join, as those of a whole sphere do. */
  readonly apart: boolean;
}

/** What a photo's metadata claim of its pixels. */
export function photoClaims(
  photo: Photo,
  tags: readonly Tag[],
  { coverage, holesPercent, apart }: PictureFacts,
  profile: string | undefined,
): Claim[] {
  const gpano = gpanoOf(tags);
  // Where nothing places it, the choices say what to do.
  const marking = coverage.basis === 'supposed' ? '' : markCommand(photo.file);
  return [
    projectionClaim(photo, gpano, coverage, apart),
    ...fieldsClaim(gpano, marking),
    ...cropClaim(photo, gpano, marking),
    ...poseClaims(photo, gpano),
    ...contradictionClaim(photo, tags),
    ...wholeClaim(photo, gpano, coverage, holesPercent),
    ...sizeClaim(photo, tags),
    ...orientationClaim(photo),
    profileClaim(photo, tags, profile),
  ];
}

const size = ({ width, height }: { width: number; height: number }) => `${width}x${height}`;

function projectionClaim(photo: Photo, gpano: GPano, coverage: Coverage, apart: boolean): Claim {
  const says = gpano.ProjectionType === undefined ? '' : String(gpano.ProjectionType);
  const placed = coverage.basis !== 'supposed' && !apart;
  const found = apart
    ? `${size(photo)} is 2:1, but neither edges nor poles join`
    : placed
      ? `${size(photo)} fits`
      : `${size(photo)} is not 2:1, and nothing places it`;
  const choices = `choose: ${completeCommand(photo.file, apart ? '--across DEG --top DEG' : byLatitude(photo))}, or ${markCommand(photo.file, '--flat')}`;
  const claim = 'projection';
  const small = smallness(photo);
  if (small !== undefined) {
    const advice = 'export it larger';
    return { claim, says, found: `${size(photo)} is too small`, verdict: 'false', advice };
  }
  if (says === '') {
    const advice = placed ? markCommand(photo.file) : choices;
    return { claim, says, found, verdict: 'missing', advice };
  }
  if (otherProjection(gpano) !== undefined) {
    const advice = `convert it to equirectangular; or, if the claim is wrong, ${markCommand(photo.file)}`;
    return { claim, says, found, verdict: 'unproven', advice };
  }
  return { claim, says, found, verdict: placed ? 'true' : 'false', advice: placed ? '' : choices };
}

function fieldsClaim(gpano: GPano, advice: string): Claim[] {
  if (Object.keys(gpano).length === 0) return [];
  const missing = REQUIRED_FIELDS.filter((name) => gpano[name] === undefined);
  if (missing.length === 0) return [];
  return [
    {
      claim: 'required GPano fields',
      says: '',
      found: `without ${missing.join(', ')}`,
      verdict: 'missing',
      advice,
    },
  ];
}

function cropClaim(photo: Photo, gpano: GPano, advice: string): Claim[] {
  const crop = statedCrop(gpano);
  if (crop === undefined) return [];
  const problems = cropProblems(crop, photo);
  return [
    {
      claim: 'place in the sphere',
      says: `${size(crop)} at ${crop.left},${crop.top} of ${crop.fullWidth}x${crop.fullHeight}`,
      found: problems.map(({ message }) => message).join('; '),
      verdict: problems.length === 0 ? 'true' : 'false',
      advice: problems.length === 0 ? '' : advice,
    },
  ];
}

function poseClaims(photo: Photo, gpano: GPano): Claim[] {
  return Object.keys(RANGES)
    .filter((name) => gpano[name] !== undefined)
    .map((name) => {
      const possible = inRange(name, gpano[name]);
      return {
        claim: name,
        says: String(gpano[name]),
        found: possible ? '' : `must be ${rangeInWords(name)}`,
        verdict: possible ? ('unproven' as const) : ('false' as const),
        advice: possible ? '' : markCommand(photo.file),
      };
    });
}

function contradictionClaim(photo: Photo, tags: readonly Tag[]): Claim[] {
  const names = contradictions(tags);
  if (names.length === 0) return [];
  const values = (name: string) =>
    tags.filter((tag) => tag.group === GPANO_GROUP && tag.name === name).map(({ value }) => value);
  return [
    {
      claim: 'agreement of the metadata',
      says: names.map((name) => `${name}: ${values(name).join(' and ')}`).join('; '),
      found: 'the file gives different values for the same field',
      verdict: 'false',
      advice: markCommand(photo.file),
    },
  ];
}

function wholeClaim(photo: Photo, gpano: GPano, coverage: Coverage, holes: number): Claim[] {
  if (!isWhole(coverage) || gpano.ProjectionType === undefined || holes <= 0) return [];
  return [
    {
      claim: 'whole sphere',
      says: 'covers everything',
      found: `${holes.toFixed(2)} % of it shows nothing`,
      verdict: 'false',
      advice: completeCommand(photo.file),
    },
  ];
}

function sizeClaim(photo: Photo, tags: readonly Tag[]): Claim[] {
  const width = findTag(tags, 'ExifIFD', 'ExifImageWidth')?.value;
  const height = findTag(tags, 'ExifIFD', 'ExifImageHeight')?.value;
  if (width === undefined || height === undefined) return [];
  const right = Number(width) === photo.width && Number(height) === photo.height;
  return [
    {
      claim: "EXIF's size",
      says: `${width}x${height}`,
      found: size(photo),
      verdict: right ? 'true' : 'false',
      advice: right ? '' : 'left over from before it was stitched or resized; harmless to viewers',
    },
  ];
}

function orientationClaim(photo: Photo): Claim[] {
  if (photo.orientation === 1) return [];
  return [
    {
      claim: "EXIF's orientation",
      says: `${photo.orientation}: turn before showing`,
      found: `${size(photo)} as stored`,
      verdict: 'unproven',
      advice: 'viewers differ on turning a sphere: export it upright, without this tag',
    },
  ];
}

function profileClaim(photo: Photo, tags: readonly Tag[], profile: string | undefined): Claim {
  const exif = findTag(tags, 'ExifIFD', 'ColorSpace')?.value;
  const claim = 'colour profile';
  const says = [profile ?? '', exif === 1 ? 'EXIF says sRGB' : ''].filter(Boolean).join(', ');
  if (profile === undefined && photo.hasProfile) {
    return { claim, says: 'a profile without a name', found: '', verdict: 'unproven', advice: '' };
  }
  if (profile === undefined) {
    const advice = 'it is taken for sRGB; export with a profile if it is not';
    return { claim, says, found: 'no profile', verdict: 'missing', advice };
  }
  const disagree = exif === 1 && !/srgb/i.test(profile);
  return {
    claim,
    says,
    found: disagree ? 'the two disagree; the profile is used' : '',
    verdict: disagree ? 'false' : 'true',
    advice: disagree ? 'harmless: programs that know profiles go by the profile' : '',
  };
}
