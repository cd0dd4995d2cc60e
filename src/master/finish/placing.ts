import { placingChoices } from '../choices.js';
import { type PlacementOptions, placementIn } from '../complete/placement.js';
import type { Inspection } from '../inspect.js';

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
  if (Object.keys(given).length > 0) {
    // Problems of numbers show before anything is worked out.
    placementIn(inspection, given);
    return given;
  }
  if (inspection.coverage.basis === 'supposed') throw placingChoices(inspection, command);
  return cropOf(inspection);
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
