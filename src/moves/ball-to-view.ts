import { ARRIVING, GENTLE, RUNNING } from './eases.js';
import { degrees, place, side, signOf, target, viewFov, viewPitch } from './params.js';
import { move } from './types.js';
import { aimOf, BALL, LEVEL, MIRROR_BALL, nearestAim, view, waypoint, yawOf } from './views.js';

/** Of the time: the ball begins to grow, and its rim has left the frame; only then it is bent straight. */
const GROWS = 0.2;
const FILLS = 0.58;

export const ballToView = move({
  name: 'ball-to-view',
  title: 'A mirror ball with the whole place in it opens into the view.',
  goodFor: 'openings; over a blurred background',
  begins: BALL,
  ends: LEVEL,
  params: {
    to: target('what it opens to', 0),
    place: place('where in the frame that sits, when it is a mark or a direction'),
    pitch: viewPitch('of the view at the end, when to is a yaw', 2),
    fov: viewFov('of the view at the end', 74),
    tilt: degrees('by which the ball looks down at the start', [-60, 14, 60], { begin: true }),
    spin: degrees('by which the ball turns on the way', [0, 120, 170], { begin: true }),
    direction: { ...side('to which it turns'), begin: true },
  },
  usual: () => 8,
  expand({ to, place, pitch, fov, tilt, spin, direction }, { seconds, before }) {
    const end = aimOf(to, pitch, place);
    const yaw = yawOf(end) - signOf(direction) * spin;
    const start = before ?? view({ yaw, pitch: -tilt }, 360, MIRROR_BALL);
    const last = view(nearestAim(end, yawOf(start.aim)), fov);
    return [
      waypoint(0, start, before ? GENTLE : RUNNING),
      { at: GROWS * seconds, fov: start.fov, ease: ARRIVING },
      { at: FILLS * seconds, projection: MIRROR_BALL, ease: GENTLE },
      waypoint(seconds, last),
    ];
  },
});
