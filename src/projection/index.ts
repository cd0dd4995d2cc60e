import { cylindrical } from './cylindrical.js';
import { equalArea } from './equal-area.js';
import { equidistant } from './equidistant.js';
import { equirectangular } from './equirectangular.js';
import { mirrorBall } from './mirror-ball.js';
import { orthographic } from './orthographic.js';
import { panini } from './panini.js';
import { perspective } from './perspective.js';
import { rectilinear } from './rectilinear.js';
import { stereographic } from './stereographic.js';
import type { Projection } from './types.js';

/** What scenes may name. Every list of projections in tables, help texts and tests derives from this one. */
export const projections: readonly Projection[] = [
  rectilinear,
  stereographic,
  mirrorBall,
  equidistant,
  equalArea,
  orthographic,
  cylindrical,
  panini,
  equirectangular,
];

/** What only morphs use. */
const internal: readonly Projection[] = [perspective];

export const projectionNames: readonly string[] = projections.map(({ name }) => name);

/** The registered projection of that name. */
export const findProjection = (name: string): Projection | undefined =>
  projections.find((projection) => projection.name === name);

/**
 * The projection a lens names: a registered one or one that only morphs use.
 *
 * @throws RangeError when there is none; scenes are checked before they get here.
 */
export function findLens(name: string): Projection {
  const found = [...projections, ...internal].find((projection) => projection.name === name);
  if (found === undefined) throw new RangeError(`There is no projection ${name}.`);
  return found;
}
