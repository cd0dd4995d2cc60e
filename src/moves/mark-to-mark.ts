import { directionOf } from '../camera/aim.js';
import { acosClamped, degrees as inDegrees } from '../math.js';
import { GENTLE } from './eases.js';
import { place, seconds as secondsParam, viewFov, viewPitch } from './params.js';
import { type Aim, move, type Target, type View, type Waypoint } from './types.js';
import { ANY, aimOf, LEVEL, nearestAim, pitchOf, view, waypoint, yawOf } from './views.js';

/** Degrees per second on the way from one to the next, on average; and no way is shorter than this. */
const PACE = 16;
const LEAST = 2.6;

/** Wider on the way than at the marks, by this. */
const WIDER = 1.14;

const targets = {
  kind: 'targets',
  about: 'what it looks at, one after the other',
  least: 2,
  most: 20,
  default: [-60, 0, 70],
} as const;

/** Seconds of each way, before they are stretched to the move's length. */
function ways(aims: readonly Aim[]): number[] {
  return aims.slice(1).map((aim, index) => {
    const [a, b] = [aims[index]!, aim].map((end) => directionOf(yawOf(end), pitchOf(end)));
    const angle = inDegrees(acosClamped(a![0] * b![0] + a![1] * b![1] + a![2] * b![2]));
    return Math.max(LEAST, angle / PACE);
  });
}

/** All that it looks at, the view that it goes on from first. */
function stations(
  marks: readonly Target[],
  { pitch, place }: { readonly pitch: number; readonly place: readonly [number, number] },
  before: View | undefined,
): Aim[] {
  const aims = marks.map((mark) => aimOf(mark, pitch, place));
  return before ? [before.aim, ...aims] : aims;
}

export const markToMark = move({
  name: 'mark-to-mark',
  title: 'A sweep along several marks, with a short rest at each.',
  goodFor: 'all that there is to see, in one go',
  begins: ANY,
  ends: LEVEL,
  params: {
    marks: targets,
    place: place('where in the frame they sit, when they are marks or directions'),
    pitch: viewPitch('of the view, where it looks at a yaw', 0),
    fov: viewFov('of the view at each', 58),
    rest: secondsParam('how long it rests at each but the last', [0, 0.6, 10]),
  },
  usual({ marks, pitch, place, rest }, before) {
    const aims = stations(marks, { pitch, place }, before);
    const sum = ways(aims).reduce((total, way) => total + way, 0);
    return sum + rest * (aims.length - 1 - (before ? 1 : 0));
  },
  expand({ marks, place, pitch, fov, rest }, { seconds, before }) {
    const aims = stations(marks, { pitch, place }, before);
    const usual = ways(aims);
    const sum = usual.reduce((total, way) => total + way, 0);
    const rests = aims.length - 1 - (before ? 1 : 0);
    // Rests give way where there is little time.
    const still = Math.min(rest, seconds / 2 / Math.max(1, rests));
    const stretch = (seconds - still * rests) / sum;
    const waypoints: Waypoint[] = [];
    let at = 0;
    let near = yawOf(aims[0]!);
    for (const [index, aim] of aims.entries()) {
      const here = before && index === 0 ? before : view(nearestAim(aim, near), fov);
      near = yawOf(here.aim);
      const isLast = index === aims.length - 1;
      const stays = !isLast && still > 0 && !(before && index === 0);
      waypoints.push(waypoint(at, here, GENTLE));
      if (stays) waypoints.push(waypoint(at + still, here, GENTLE));
      if (isLast) break;
      at += stays ? still : 0;
      const way = usual[index]! * stretch;
      waypoints.push({ at: at + way / 2, fov: WIDER * fov });
      at += way;
    }
    return waypoints.map((point, index) =>
      index === waypoints.length - 1 ? { ...point, at: seconds } : point,
    );
  },
});
