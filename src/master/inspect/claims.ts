import { extname } from 'node:path';
import { finishCommand, markCommand } from '../commands.js';
import { placeTags } from '../mark/place.js';
import type { Tag } from '../metadata.js';
import { smallness } from '../sphere.js';
import { extensionFits, type Format } from './format.js';
import { isAnimated, type Photo } from './photo.js';
import type { CameraFacts, Claim } from './types.js';

/** Claims that any file makes: its name, its capture time, place and lens. */
export function commonClaims(
  file: string,
  format: Format,
  tags: readonly Tag[],
  camera: CameraFacts,
): Claim[] {
  return [nameClaim(file, format), timeClaim(camera), placeClaim(file, tags), lensClaim(camera)];
}

function nameClaim(file: string, format: Format): Claim {
  const fits = extensionFits(file, format);
  return {
    claim: 'file name',
    says: extname(file) || 'no extension',
    found: format.title,
    verdict: fits ? 'true' : 'false',
    advice: fits ? '' : `rename it to end in ${format.extensions[0]}`,
  };
}

function timeClaim({ captured }: CameraFacts): Claim {
  if (captured === undefined) {
    const advice = 'set it in the camera or the export: archives sort by it';
    return { claim: 'capture time', says: '', found: '', verdict: 'missing', advice };
  }
  const [date = ''] = captured.split(' ');
  const later = Date.parse(date.replaceAll(':', '-')) > Date.now() + 2 * 86_400_000;
  return {
    claim: 'capture time',
    says: captured,
    found: later ? 'that day is still to come' : '',
    verdict: later || date.startsWith('0000') ? 'false' : 'unproven',
    advice: later ? "set the camera's clock" : '',
  };
}

function placeClaim(file: string, tags: readonly Tag[]): Claim {
  const place = placeTags(tags);
  if (place.length === 0) {
    return { claim: 'place', says: '', found: '', verdict: 'missing', advice: '' };
  }
  const number = (name: string) =>
    Number(place.find((tag) => tag.name === name)?.value ?? Number.NaN);
  const [latitude, longitude] = [number('GPSLatitude'), number('GPSLongitude')];
  const impossible = Math.abs(latitude) > 90 || Math.abs(longitude) > 180;
  const zero = latitude === 0 && longitude === 0;
  return {
    claim: 'place',
    says: `told by ${place.length} tag${place.length === 1 ? '' : 's'}`,
    found: zero ? 'latitude and longitude are 0: no fix' : impossible ? 'no place on earth' : '',
    verdict: impossible || zero ? 'false' : 'unproven',
    advice: `before publishing, mind who lives there: ${markCommand(file, '--strip-place')}`,
  };
}

function lensClaim({ lens, focalLength }: CameraFacts): Claim {
  const says = [lens, focalLength].filter((part) => part !== undefined).join(', ');
  return {
    claim: 'lens',
    says,
    found: says === '' ? '' : 'of the single frames, not of the sphere',
    verdict: says === '' ? 'missing' : 'unproven',
    advice: '',
  };
}

/** The claims with other advice in place of commands that would refuse the file as it is. */
export function runnable(claims: readonly Claim[], photo: Photo): Claim[] {
  const first = firstStep(photo) ?? (photo.format.name === 'bigtiff' ? asTiff(photo) : undefined);
  if (first === undefined) return [...claims];
  return claims.map((claim) => ({
    ...claim,
    advice: claim.advice.includes('orbreel master') ? first : claim.advice,
  }));
}

/** ExifTool writes nothing into BigTIFF; `finish` makes a TIFF of it. */
const asTiff = ({ file }: Photo): string => finishCommand(file);

/** What must be done before any command that writes takes the file. */
function firstStep(photo: Photo): string | undefined {
  const { format } = photo;
  const formats = 'as JPEG, TIFF, PNG, WebP or AVIF first';
  if (smallness(photo) !== undefined) return 'export it larger first';
  if (photo.orientation > 4) return 'export it upright first';
  if (isAnimated(photo)) return `save one frame ${formats}`;
  return format.name === 'gif' ? `save it ${formats}` : undefined;
}
