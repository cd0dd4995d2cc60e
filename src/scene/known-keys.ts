import { findProjection } from '../projection/index.js';
import { directionGroup } from './direction.js';
import type { Path } from './document.js';
import { timingEntry } from './motion-fields.js';
import { overlaySchema } from './overlay-fields.js';
import { safeGroup } from './safe.js';
import { keyframeSchema, outputGroup, sceneSchema } from './schema.js';

/** The fields that the group at `path` may have. */
export function knownKeys(path: Path, group: unknown): readonly string[] {
  const place = path.findLast((step) => typeof step === 'string');
  if (place === 'projection') {
    const name = String((group as { name?: unknown } | undefined)?.name);
    return ['name', ...(findProjection(name)?.params.map((param) => param.name) ?? [])];
  }
  const isMark = path[0] === 'marks' && path.length > 1;
  if (isMark || place === 'look') return Object.keys(directionGroup.shape);
  const shape = {
    safe: safeGroup.shape,
    keyframes: keyframeSchema.shape,
    outputs: outputGroup.shape,
    overlays: overlaySchema.shape,
    timing: timingEntry.shape,
  }[String(place)];
  return Object.keys(shape ?? sceneSchema.shape).filter((key) => !key.startsWith('$'));
}
