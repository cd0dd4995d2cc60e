import { extname } from 'node:path';
import { byLatitude, completeCommand, finishCommand, markCommand, quoted } from '../commands.js';
import { smallness } from '../sphere.js';
import { isWhole } from './coverage.js';
import type { Inspection } from './types.js';

type Findings = Omit<Inspection, 'advice'>;

/**
 * What to do next, in the order to do it; each command runs as printed, its capitals filled in.
 *
 * @param turned what `turnedInWords` says of a video
 */
export function adviceFor(inspection: Findings, turned?: string): string[] {
  const first = firstStep(inspection, turned);
  if (first !== undefined) return [first, ...looks(inspection)];
  const steps = [
    ...toMakeWhole(inspection),
    ...looks(inspection),
    ...toLevel(inspection),
    ...toMark(inspection),
  ];
  return [
    ...(inspection.colourSpace === 'cmyk' ? [TO_SRGB] : []),
    ...steps,
    ...inOneGo(inspection, steps),
  ];
}

/** Of the steps that finish takes as well, where there are several. */
function inOneGo(
  { kind, file, coverage, colourSpace }: Findings,
  steps: readonly string[],
): string[] {
  const taken = steps.filter((step) => /^(?:Make it whole|Level it|Mark it rightly):/u.test(step));
  const able = kind === 'photo' && coverage.basis !== 'supposed' && colourSpace !== 'cmyk';
  return able && taken.length > 1 ? [`Or all of that in one go: ${finishCommand(file)}`] : [];
}

/** Whether nothing joins in a photo that has the shape of a whole sphere: then it is hardly one. */
export const joinsNowhere = ({
  kind,
  coverage,
  seam,
  poles,
}: Pick<Findings, 'kind' | 'coverage' | 'seam' | 'poles'>): boolean =>
  kind === 'photo' &&
  isWhole(coverage) &&
  seam?.visible === true &&
  poles.top?.isPoint === false &&
  poles.bottom?.isPoint === false;

const TO_SRGB = 'It is CMYK: convert it to sRGB, which all that redraws it needs.';

/** What must be done before there is a command for it. */
function firstStep(inspection: Findings, turned?: string): string | undefined {
  const { file, kind, format, pages, width, height, orientation = 1, samples, claims } = inspection;
  if (smallness(inspection) !== undefined) {
    return `It is too small for a picture of a sphere (${width}x${height}): export it larger.`;
  }
  if (orientation > 4) {
    return `EXIF asks to turn it to ${height}x${width} (orientation ${orientation}): export it upright, without this tag, and go on with that.`;
  }
  if (samples !== undefined) {
    return `Its samples are ${samples}, which nothing that redraws it takes: export it as a 16-bit TIFF in sRGB, and go on with that.`;
  }
  if (turned !== undefined) return `It is ${turned}, and go on with that.`;
  const projection = claims.find(({ claim }) => claim === 'projection');
  if (projection?.verdict === 'unproven') {
    return `It claims the projection "${projection.says}": convert it to equirectangular first; or, if the claim is wrong, replace it: ${markCommand(file)}`;
  }
  const as = 'as JPEG, TIFF, PNG, WebP or AVIF';
  if (kind === 'photo' && pages !== undefined) {
    return `It holds ${pages} frames or pages: save one of them ${as}, and go on with that.`;
  }
  return format === 'GIF' ? `Save it ${as}, and go on with that.` : undefined;
}

function toMakeWhole(inspection: Findings): string[] {
  const { file, kind, coverage, holes, specks } = inspection;
  const video = kind === 'video';
  if (joinsNowhere(inspection)) {
    return [
      'It is 2:1, but neither its edges nor its poles join, as those of a whole sphere do. Choose:',
      `  it is part of a sphere: ${completeCommand(file, '--across DEG --top DEG')}`,
      `  it is flat: ${markCommand(file, '--flat')}`,
    ];
  }
  if (coverage.basis === 'supposed') {
    return [
      'It is not 2:1 and nothing says where it lies on the sphere. Choose:',
      `  it is part of a sphere: ${video ? markCommand(file, byLatitude(inspection)) : completeCommand(file, byLatitude(inspection))}`,
      `  its place is known in pixels: ${markCommand(file, '--full WxH --at X,Y')}`,
      `  it is flat: ${markCommand(file, '--flat')}`,
    ];
  }
  if (isWhole(coverage) && holes.length === 0 && specks === undefined) return [];
  return [
    video
      ? 'It shows less than the whole sphere: fill it where it was stitched, as only photos are completed here.'
      : `Make it whole: ${completeCommand(file)}`,
  ];
}

function looks(inspection: Findings): string[] {
  const { coverage, seam, poles, highlights, orientation = 1 } = inspection;
  const advice: string[] = [];
  if (orientation > 1 && orientation < 5) {
    advice.push(
      `EXIF asks to turn it (orientation ${orientation}), on which viewers of spheres differ: export it upright, without this tag.`,
    );
  }
  // Told already, in other words.
  if (joinsNowhere(inspection)) return advice;
  if (seam?.visible) {
    advice.push('The seam at longitude ±180° shows: export it again without a border or vignette.');
  }
  for (const [pole, row] of [
    ['first', poles.top],
    ['last', poles.bottom],
  ] as const) {
    if (row?.isPoint === false && coverage.basis !== 'supposed') {
      advice.push(
        `The ${pole} row is no point, as it should be on a sphere: is the picture cut off there, stretched, or enlarged?`,
      );
    }
  }
  if (highlights.blown > 1) {
    advice.push(
      `${highlights.blown.toFixed(1)} % is blown out: if it is more than the sun, develop it again with less exposure.`,
    );
  }
  return advice;
}

function toLevel({ file, horizon }: Findings): string[] {
  if (horizon === undefined) return [];
  const lean = Math.max(Math.abs(horizon.rollDeg), Math.abs(horizon.pitchDeg));
  return lean > 0.5 ? [`Level it: orbreel master level ${quoted(file)} --auto --out FILE`] : [];
}

/** The other commands mind no wrong ending. */
function toMark(inspection: Findings): string[] {
  const { file, format, coverage, claims } = inspection;
  const todo = claims.filter(({ verdict, advice }) => verdict !== 'unproven' && advice !== '');
  const asked = todo.some(({ advice }) => advice.includes('master mark'));
  if (format === 'BigTIFF') {
    return [`Mark it rightly, as a file that can be marked: ${finishCommand(file)}`];
  }
  if (coverage.basis === 'supposed' || !asked || joinsNowhere(inspection)) return [];
  const ending = todo.find(({ claim }) => claim === 'file name')?.advice.match(/\.\w+$/u)?.[0];
  if (ending === undefined) return [`Mark it rightly: ${markCommand(file)}`];
  const named = `${file.slice(0, file.length - extname(file).length)}${ending}`;
  return [`Rename it to ${named}, and mark it rightly: ${markCommand(named)}`];
}
