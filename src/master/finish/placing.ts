import { InputError } from '../../errors.js';
import { markCommand, quoted } from '../commands.js';
import { type PlacementOptions, placement } from '../complete.js';
import type { Inspection } from '../inspect.js';

const size = ({ width, height }: { width: number; height: number }) => `${width}x${height}`;

/**
 * Where a master lies on the sphere: as given, else as its metadata say. `command` is the one that
 * the user gave, for the choices.
 *
 * @throws InputError with the choices, and the command for each, where nothing says so
 */
export function placeOf(
  inspection: Inspection,
  given: PlacementOptions,
  command: 'complete' | 'finish',
): PlacementOptions {
  if (Object.keys(given).length > 0) return inFile(inspection, given);
  if (inspection.coverage.basis === 'supposed') throw placingChoices(inspection, command);
  return cropOf(inspection);
}

/** Problems of numbers show before anything is worked out, and are told with the file. */
function inFile(inspection: Inspection, given: PlacementOptions): PlacementOptions {
  try {
    placement(inspection, given);
    return given;
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    const place = inspection.file;
    throw new InputError(error.problems.map((problem) => ({ ...problem, place })));
  }
}

/** In pixels again, on a sphere that is exactly twice as wide as high. */
function cropOf({ coverage, width, height }: Inspection): PlacementOptions {
  const { left, right, top, bottom } = coverage;
  const fullWidth = (width * 360) / (right - left);
  const fullHeight = (height * 180) / (top - bottom);
  const rows = Math.max(Math.round(fullHeight), Math.ceil(Math.round(fullWidth) / 2));
  return {
    full: { width: 2 * rows, height: rows },
    left: Math.round(((left + 180) / 360) * fullWidth),
    top: Math.round(((90 - top) / 180) * fullHeight),
  };
}

/** What can be done with a picture that is no whole sphere and says nowhere in it. */
export function placingChoices(
  { file, width, height }: Pick<Inspection, 'file' | 'width' | 'height'>,
  command: 'complete' | 'finish',
): InputError {
  const start = `orbreel master ${command} ${quoted(file)}`;
  const high = ((height / width) * 360).toFixed(1);
  // One higher than half its width cannot go all round.
  const allRound =
    2 * height > width
      ? ''
      : `  the latitude of its upper or lower edge is known (all round, it covers ${high} degrees of height):
    ${start} --top DEG --out FILE
    ${start} --bottom DEG --out FILE
  the row of the horizon is known, in pixels from its top:
    ${start} --horizon ROW --out FILE
`;
  const message = `expected a whole sphere, twice as wide as high, found ${size({ width, height })} and no metadata that say where it lies. Choose:
${allRound}  the whole sphere's size and its place in it are known in pixels:
    ${start} --full WxH --left PX --top-px PX --out FILE
  it does not go all round, but is so many degrees of longitude wide:
    ${start} --across DEG --top DEG --out FILE
    ${start} --across DEG --horizon ROW --out FILE
  it is a flat picture, no part of a sphere: remove what claims otherwise:
    ${markCommand(file, '--flat')}`;
  return new InputError([{ place: file, path: '', message }]);
}
