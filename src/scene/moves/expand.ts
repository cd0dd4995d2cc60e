import { Document, isMap, isSeq } from 'yaml';
import type { Place } from '../../camera/aim.js';
import type { ProjectionChoice } from '../../camera/types.js';
import { easeText } from '../ease.js';
import { placeNames, placeText } from '../place.js';
import type { BallLook, Keyframe, Mark, Scene, Sequence } from '../types.js';

/** A shot's keyframes as a scene file writes them, those that its moves come to among them. */
export interface ExpandedShot {
  /** Seconds. */
  readonly duration: number;
  /** When there is one, as the scene writes it. */
  readonly ball?: Readonly<Record<string, unknown>>;
  readonly keyframes: readonly Readonly<Record<string, unknown>>[];
}

export const expandedShots = ({ shots }: Sequence): ExpandedShot[] =>
  shots.map((shot) => {
    const look = shot.keyframes[0]?.ballLook;
    return {
      duration: shot.duration,
      ...(look && { ball: ballFields(look) }),
      keyframes: keyframesOf(shot),
    };
  });

const ballFields = ({ kind, index, tint }: BallLook) => ({
  kind,
  ...(kind === 'glass' ? { index } : {}),
  tint: `#${tint
    .slice(0, 3)
    .map((part) => part.toString(16).padStart(2, '0'))
    .join('')}`,
});

/** YAML to put into the scene file in place of its moves, keyframes, duration and ball. */
export function expandedText(scene: Sequence): string {
  const texts = expandedShots(scene).map((shot) => {
    const document = new Document(shot);
    const list = document.get('keyframes');
    if (isSeq(list)) for (const item of list.items) if (isMap(item)) item.flow = true;
    return document.toString({ lineWidth: 0 }).trimEnd();
  });
  if (texts.length === 1) return texts[0]!;
  return texts.map((text, index) => `# shots[${index}]\n${text}`).join('\n\n');
}

function keyframesOf({ keyframes, marks, outputs }: Scene) {
  // Where one says its pace, the scene may have another for the rest.
  const paced = keyframes.some(({ even }) => even !== undefined);
  return keyframes.map((keyframe) => {
    const { look, place, heading, projection, ease, turn, smooth, even, path, ballLook, ...rest } =
      keyframe;
    const {
      at,
      yaw = heading === undefined ? undefined : yawThen(outputs[0], at),
      ...others
    } = rest;
    const { pitch, ...more } = others;
    return withoutGaps({
      ...{ at, yaw, pitch, look: look && lookText(look, marks), place: place && placeValue(place) },
      ...more,
      projection: projection && projectionValue(projection),
      ...(smooth ? { path: 'smooth' } : { ease: easeText(ease) }),
      turn: turn === 'as-written' ? undefined : turn,
      pace: paced ? (even ? 'even' : 'keyed') : undefined,
    });
  });
}

/** A heading's yaw is the nearest to the keyframe before; it is written as what that came to. */
const yawThen = (output: { readonly keyframes: readonly Keyframe[] } | undefined, at: number) =>
  output?.keyframes.find((keyframe) => keyframe.at === at)?.yaw;

const lookText = (look: Mark, marks: readonly Mark[]) =>
  marks.some(({ name }) => name === look.name) ? look.name : { yaw: look.yaw, pitch: look.pitch };

const placeValue = (place: Place): string | readonly number[] =>
  placeNames.includes(placeText(place)) ? placeText(place) : [...place];

const projectionValue = ({ name, params }: ProjectionChoice) =>
  Object.keys(params).length === 0 ? name : { name, ...params };

const withoutGaps = (fields: Readonly<Record<string, unknown>>) =>
  Object.fromEntries(Object.entries(fields).filter(([, value]) => value !== undefined));
