import { markWarnings } from './mark-warnings.js';
import { paceWarnings } from './pace-warnings.js';
import type { Scene, Warning } from './types.js';

/** All that is worth a warning in a scene, each check's in turn. */
export const warningsOf = (scene: Scene): Warning[] => [
  ...(scene.told ?? []),
  ...markWarnings(scene),
  ...paceWarnings(scene),
];
