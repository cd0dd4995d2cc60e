import { findProjection } from '../projection/index.js';
import { ballGroup, ballPlace } from './ball-fields.js';
import { directionGroup } from './direction.js';
import type { Path } from './document.js';
import { footageField } from './footage.js';
import { timingEntry } from './motion-fields.js';
import { fieldsOfMove } from './moves/fields.js';
import { overlaySchema } from './overlay-fields.js';
import { safeGroup } from './safe.js';
import { keyframeSchema, outputGroup } from './schema.js';
import { fileSchema, OF_THE_CLIP, overrideGroup, shotSchema } from './shots/schema.js';
import { transitionGroup } from './shots/transition.js';
import { soundGroup } from './sound.js';

/** The fields that the group at `path` may have. */
export function knownKeys(path: Path, group: unknown): readonly string[] {
  const place = path.findLast((step) => typeof step === 'string');
  if (place === 'projection') {
    const name = String((group as { name?: unknown } | undefined)?.name);
    return ['name', ...(findProjection(name)?.params.map((param) => param.name) ?? [])];
  }
  if (place === 'moves') return fieldsOfMove((group as { move?: unknown } | undefined)?.move);
  const isMark = path.at(-2) === 'marks';
  const isTarget = path.includes('moves');
  if (isMark || isTarget || place === 'look') return Object.keys(directionGroup.shape);
  const shape = {
    safe: safeGroup.shape,
    footage: footageField.shape,
    sound: soundGroup.shape,
    keyframes: keyframeSchema.shape,
    outputs: outputGroup.shape,
    overlays: overlaySchema.shape,
    timing: timingEntry.shape,
    shots: shotSchema.shape,
    overrides: overrideGroup.shape,
    transition: transitionGroup.shape,
    ball: path.at(-3) === 'keyframes' ? ballPlace.shape : ballGroup.shape,
  }[String(place)];
  return Object.keys(shape ?? fileSchema.shape).filter((key) => !key.startsWith('$'));
}

/** Whether a field that only the whole file has stands in a shot there. */
export const ofTheClip = (path: Path): boolean =>
  path.length === 3 && path[0] === 'shots' && OF_THE_CLIP.includes(String(path[2]));
