import { guarded } from './guard.js';
import { type FovLimit, OUTSIDE, type Projection, type ProjectionParams } from './types.js';

type Words = Pick<Projection, 'name' | 'title' | 'formula' | 'goodFor' | 'source'>;

/** A radial law: how far from the plane's centre lies what is `theta` radians off the view axis. */
export interface RadialLaw extends Words {
  readonly params?: Projection['params'];
  /** Largest full field of view; half of it is the largest theta. */
  limit(params: ProjectionParams): FovLimit;
  radius(theta: number, params: ProjectionParams): number;
  /** Inverse of `radius`, up to the limit's radius. */
  theta(radius: number, params: ProjectionParams): number;
}

/**
 * The projection that keeps directions round the view axis and puts radii by `law`. The direction
 * straight behind, which a whole-sphere law spreads along its rim, has no point of its own: outside.
 */
export function azimuthal(law: RadialLaw): Projection {
  const { limit, radius, theta, params = [], ...words } = law;
  return guarded({
    ...words,
    params,
    azimuthal: true,
    fovLimit: (_axis, values) => limit(values),

    toPlane([x, y, z], values) {
      const across = Math.hypot(x, y);
      const angle = Math.atan2(across, 0 - z);
      const { max, inclusive } = limit(values);
      if (angle > max / 2 || (angle === max / 2 && !inclusive)) return OUTSIDE;
      if (across === 0) return z < 0 ? [0, 0] : OUTSIDE;
      const scale = radius(angle, values) / across;
      return [x * scale, y * scale];
    },

    toRay([x, y], values) {
      const distance = Math.hypot(x, y);
      if (distance === 0) return { inside: true, ray: [0, 0, -1] };
      const { max, inclusive } = limit(values);
      const inside = !inclusive || distance <= radius(max / 2, values);
      const angle = inside ? theta(distance, values) : max / 2;
      const scale = Math.sin(angle) / distance;
      return { inside, ray: [x * scale, y * scale, -Math.cos(angle)] };
    },

    extent: (_axis, halfAngle, values) => radius(halfAngle, values),
  });
}
