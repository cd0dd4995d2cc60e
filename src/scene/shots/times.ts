import { overlapOf, shotTimes } from '../../timeline/shots.js';
import type { Path } from '../document.js';
import type { Report } from '../resolve.js';
import { LONGEST } from '../time.js';
import type { Scene, Transition } from '../types.js';
import { shortNumber } from '../words.js';

/** A shot, how the one before leads over into it, and where in the file it is written. */
export interface Placed {
  readonly scene: Scene;
  readonly transition: Transition;
  readonly path: Path;
  /** The transition stands in another file, together with the shot before. */
  readonly inner?: boolean;
}

/** In all files together. */
const MOST_SHOTS = 500;

/** Seconds; a total that is written rounded to this much is right. */
const ROUNDED = 0.001;

/** Reports transitions for which the shots are too short, and a duration that is not that of all shots. */
export function checkTimes(
  shots: readonly Placed[],
  duration: number | undefined,
  report: Report,
): void {
  if (shots.length > MOST_SHOTS) {
    report(['shots'], `come to ${shots.length} shots; a clip takes at most ${MOST_SHOTS}`);
    return;
  }
  for (const [index, shot] of shots.entries()) checkOverlap(shots, shot, index, report);
  const total = shotTimes(
    shots.map(({ scene }) => scene),
    shots.slice(1).map(({ transition }) => transition),
  ).at(-1)!.end;
  const sum = `the shots come to ${seconds(total)}: ${sumOf(shots)}`;
  if (total > LONGEST + ROUNDED) {
    report(['shots'], `${sum}; a clip lasts at most ${LONGEST / 3600} hour`);
  }
  if (duration !== undefined && Math.abs(duration - total) > ROUNDED) {
    const mend = 'write that, or leave duration out';
    report(['duration'], `is ${seconds(duration)}, but ${sum}; ${mend}`);
  }
}

const seconds = (value: number): string => `${shortNumber(value)} s`;

/** No shot may be shorter than the transitions it takes part in: never are three shots on at once. */
function checkOverlap(
  shots: readonly Placed[],
  { scene, transition, path }: Placed,
  index: number,
  report: Report,
): void {
  const next = shots[index + 1];
  const into = index === 0 ? 0 : overlapOf(transition);
  const out = next === undefined ? 0 : overlapOf(next.transition);
  const room = scene.duration;
  if (into + out <= room + ROUNDED) return;
  const length = `lasts ${seconds(room)}`;
  if (into > room + ROUNDED) {
    const message = `lasts ${seconds(into)}, but the shot after it only ${seconds(room)}; both run on while it lasts`;
    report([...path, 'transition'], message);
  } else if (out > room + ROUNDED) {
    const message = `lasts ${seconds(out)}, but the shot before it only ${seconds(room)}; both run on while it lasts`;
    report([...next!.path, 'transition'], message);
  } else if (next!.inner === true) {
    const message = `lasts ${seconds(into)}, but the shot after it ${length} and is for ${seconds(out)} of them already in the transition that follows; that leaves ${seconds(room - out)}`;
    report([...path, 'transition'], message);
  } else {
    const message = `lasts ${seconds(out)}, but the shot before it ${length} and is for ${seconds(into)} of them still in the transition before; that leaves ${seconds(room - into)}`;
    report([...next!.path, 'transition'], message);
  }
}

/** `5 + 4 - 1 (dissolve) + 3.5` */
function sumOf(shots: readonly Placed[]): string {
  return shots
    .map(({ scene, transition }, index) => {
      const length = shortNumber(scene.duration);
      const overlap = index === 0 ? 0 : overlapOf(transition);
      if (index === 0) return length;
      if (overlap === 0) return ` + ${length}`;
      return ` - ${shortNumber(overlap)} (${transition.kind}) + ${length}`;
    })
    .join('');
}
