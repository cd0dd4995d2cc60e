import { LEAVING } from './eases.js';
import { degrees, place, side, signOf, target, viewFov, viewPitch } from './params.js';
import { move } from './types.js';
import { ANY, aimOf, BALL, MIRROR_BALL, view, waypoint, yawOf } from './views.js';

/** Of the time: the picture has been bent round; only then the rim comes into the frame. */
const ROUND = 0.42;

export const viewToBall = move({
  name: 'view-to-ball',
  title: 'The view bends up, until the whole place hangs in a mirror ball.',
  goodFor: 'endings; over a blurred background',
  begins: ANY,
  ends: BALL,
  params: {
    from: target('what it begins with', 0, { begin: true }),
    place: { ...place('where in the frame that sits, when it is a mark'), begin: true },
    pitch: viewPitch('of the view at the start, when from is a yaw', 2, { begin: true }),
    fov: viewFov('of the view at the start', 74, { begin: true }),
    tilt: degrees('by which the ball looks down at the end', [-60, 14, 60]),
    spin: degrees('by which the ball turns on the way', [0, 120, 360]),
    direction: side('to which it turns'),
  },
  usual: () => 8,
  expand({ from, place, pitch, fov, tilt, spin, direction }, { seconds, before }) {
    const start = before ?? view(aimOf(from, pitch, place), fov);
    const yaw = yawOf(start.aim) + signOf(direction) * spin;
    const end = view({ yaw, pitch: -tilt }, 360, MIRROR_BALL);
    return [
      waypoint(0, start, LEAVING),
      { at: ROUND * seconds, projection: MIRROR_BALL },
      waypoint(seconds, end),
    ];
  },
});
