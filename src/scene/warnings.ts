import { markWarnings } from './mark-warnings.js';
import type { Scene } from './types.js';

/** Something that is allowed, but may not be meant: told by `orbreel check`, which still ends well. */
export interface Warning {
  /** What of the scene file it is about, as the user would write it: `keyframes[2].look`. */
  readonly path: string;
  /** One sentence that names its shape and times. */
  readonly message: string;
  /** Seconds: the first instant and the last. */
  readonly from?: number;
  readonly to?: number;
}

/** All that is worth a warning in a scene, each check's in turn. */
export const warningsOf = (scene: Scene): Warning[] => [...markWarnings(scene)];
