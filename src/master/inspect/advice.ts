import { extname } from 'node:path';
import { completeCommand, markCommand, quoted } from '../commands.js';
import { isWhole } from './coverage.js';
import type { Inspection } from './types.js';

type Findings = Omit<Inspection, 'advice'>;

/** What to do next, in the order to do it; each command runs as printed, its capitals filled in. */
export function adviceFor(inspection: Findings): string[] {
  const first = firstStep(inspection);
  if (first !== undefined) return [first, ...looks(inspection)];
  return [
    ...(inspection.colourSpace === 'cmyk' ? [TO_SRGB] : []),
    ...toMakeWhole(inspection),
    ...looks(inspection),
    ...toLevel(inspection),
    ...toMark(inspection),
  ];
}

const TO_SRGB = 'It is CMYK: convert it to sRGB, which all that redraws it needs.';

/** What must be done before there is a command for it. */
function firstStep({ kind, format, pages }: Findings): string | undefined {
  const as = 'as JPEG, TIFF, PNG, WebP or AVIF';
  if (kind === 'photo' && pages !== undefined) {
    return `It holds ${pages} frames or pages: save one of them ${as}, and go on with that.`;
  }
  return format === 'GIF' ? `Save it ${as}, and go on with that.` : undefined;
}

function toMakeWhole({ file, kind, coverage, holes }: Findings): string[] {
  const video = kind === 'video';
  if (coverage.basis === 'supposed') {
    return [
      'It is not 2:1 and nothing says where it lies on the sphere. Choose:',
      ...(video ? [] : [`  it is part of a sphere: ${completeCommand(file, '--top DEG')}`]),
      `  its place is known in pixels: ${markCommand(file, '--full WxH --left PX --top PX')}`,
      `  it is flat: ${markCommand(file, '--flat')}`,
    ];
  }
  if (isWhole(coverage) && holes.length === 0) return [];
  return [
    video
      ? 'It shows less than the whole sphere: fill it where it was stitched, as only photos are completed here.'
      : `Make it whole: ${completeCommand(file)}`,
  ];
}

function looks({ seam, poles, highlights }: Findings): string[] {
  const advice: string[] = [];
  if (seam?.visible) {
    advice.push('The seam at longitude ±180° shows: export it again without a border or vignette.');
  }
  for (const [pole, row] of [
    ['first', poles.top],
    ['last', poles.bottom],
  ] as const) {
    if (row?.isPoint === false) {
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
function toMark({ file, coverage, claims }: Findings): string[] {
  const todo = claims.filter(({ verdict, advice }) => verdict !== 'unproven' && advice !== '');
  const asked = todo.some(({ advice }) => advice.includes('master mark'));
  if (coverage.basis === 'supposed' || !asked) return [];
  const ending = todo.find(({ claim }) => claim === 'file name')?.advice.match(/\.\w+$/u)?.[0];
  if (ending === undefined) return [`Mark it rightly: ${markCommand(file)}`];
  const named = `${file.slice(0, file.length - extname(file).length)}${ending}`;
  return [`Rename it to ${named}, and mark it rightly: ${markCommand(named)}`];
}
