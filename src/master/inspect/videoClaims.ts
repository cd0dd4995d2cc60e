import type { SphericalTrack } from '../../encode/spherical.js';
import { markCommand } from '../commands.js';
import { isWholeSphere } from '../mark/gpano.js';
import type { Format } from './format.js';
import type { Claim } from './types.js';

/** What a video's boxes claim of its frames. */
export function videoClaims(
  file: string,
  format: Format,
  tracks: readonly SphericalTrack[],
  holesPercent: number,
): Claim[] {
  const main = [...tracks].sort((a, b) => b.width * b.height - a.width * a.height)[0];
  if (main === undefined) return [];
  if (format.name === 'matroska') {
    return [v2Claim(file, main, 'Projection element'), ...whole(main, holesPercent)];
  }
  return [
    v1Claim(file, main),
    v2Claim(file, main, 'spherical video V2'),
    ...agreement(file, main),
    ...whole(main, holesPercent),
  ];
}

const size = ({ width, height }: SphericalTrack) => `${width}x${height}`;

function eyeFits({ width, height, v1, v2 }: SphericalTrack): boolean {
  const stereo = v2?.stereo ?? v1?.fields.StereoMode ?? 'mono';
  if (stereo === 'top-bottom') return isWholeSphere({ width, height: height / 2 });
  if (stereo === 'left-right' || stereo === 'right-left') {
    return isWholeSphere({ width: width / 2, height });
  }
  return isWholeSphere({ width, height });
}

const V1_REQUIRED = ['Spherical', 'Stitched', 'StitchingSoftware', 'ProjectionType'];

function v1Claim(file: string, track: SphericalTrack): Claim {
  const claim = 'spherical video V1';
  const { v1 } = track;
  const fits = eyeFits(track);
  if (v1 === undefined) {
    const found = `${size(track)} ${fits ? 'is 2:1' : 'is not 2:1'}`;
    return { claim, says: '', found, verdict: 'missing', advice: fits ? markCommand(file) : '' };
  }
  const lacking = V1_REQUIRED.filter((name) => !v1.fields[name]);
  const says = `${v1.fields.ProjectionType ?? 'no projection'}, spherical ${v1.fields.Spherical ?? 'unsaid'}`;
  const right = lacking.length === 0 && fits && v1.fields.ProjectionType === 'equirectangular';
  return {
    claim,
    says,
    found: lacking.length > 0 ? `without ${lacking.join(', ')}` : size(track),
    verdict: right ? 'true' : 'false',
    advice: right ? '' : fits ? markCommand(file) : markCommand(file, '--flat'),
  };
}

function v2Claim(file: string, track: SphericalTrack, claim: string): Claim {
  const { v2 } = track;
  const fits = eyeFits(track);
  if (v2 === undefined) {
    const found = `${size(track)} ${fits ? 'is 2:1' : 'is not 2:1'}`;
    return { claim, says: '', found, verdict: 'missing', advice: fits ? markCommand(file) : '' };
  }
  const says = `${v2.projection}, ${v2.stereo ?? 'no st3d box'}, yaw ${v2.yaw} pitch ${v2.pitch} roll ${v2.roll}`;
  if (v2.projection !== 'equirectangular') {
    const advice = 'this program reads equirectangular masters: convert it first';
    return { claim, says, found: size(track), verdict: 'unproven', advice };
  }
  const cropped = Object.values(v2.bounds ?? {}).some((edge) => edge > 0);
  const right = fits || cropped;
  return {
    claim,
    says,
    found: size(track),
    verdict: right ? 'true' : 'false',
    advice: right ? '' : markCommand(file, '--flat'),
  };
}

function agreement(file: string, { v1, v2 }: SphericalTrack): Claim[] {
  if (v1 === undefined || v2 === undefined) return [];
  const [one, two] = [v1.fields.StereoMode ?? 'mono', v2.stereo ?? 'mono'];
  const sameProjection = v1.fields.ProjectionType === v2.projection;
  if (one === two && sameProjection) return [];
  return [
    {
      claim: 'agreement of V1 and V2',
      says: `V1 ${v1.fields.ProjectionType} ${one}, V2 ${v2.projection} ${two}`,
      found: 'they differ; V2 wins',
      verdict: 'false',
      advice: markCommand(file),
    },
  ];
}

function whole({ v1, v2 }: SphericalTrack, holes: number): Claim[] {
  if ((v1 === undefined && v2 === undefined) || holes <= 0) return [];
  const found = `${holes.toFixed(2)} % of it shows nothing in the frame looked at`;
  return [
    { claim: 'whole sphere', says: 'covers everything', found, verdict: 'false', advice: '' },
  ];
}
