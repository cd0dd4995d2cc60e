import { ARRIVING } from './eases.js';
import { degrees, place, target, viewFov, viewPitch } from './params.js';
import { move } from './types.js';
import { ANY, aimOf, LEVEL, nearestAim, view, waypoint, yawOf } from './views.js';

export const tiltUp = move({
  name: 'tilt-up',
  title: 'From the ground below up to the horizon.',
  goodFor: 'a first view that is worth waiting for',
  begins: ANY,
  ends: LEVEL,
  params: {
    to: target('what it rises to', 0),
    place: place('where in the frame that sits, when it is a mark or a direction'),
    pitch: viewPitch('of the view at the end, when to is a yaw', 3),
    fov: viewFov('of the view at the end', 70),
    low: degrees('how far below the horizon it begins', [10, 72, 90], { begin: true }),
    lowFov: viewFov('of the view at the start', 86, { begin: true }),
  },
  usual: () => 7,
  expand({ to, place, pitch, fov, low, lowFov }, { seconds, before }) {
    const aim = aimOf(to, pitch, place);
    const start = before ?? view({ yaw: yawOf(aim), pitch: -low }, lowFov);
    const end = view(nearestAim(aim, yawOf(start.aim)), fov);
    return [waypoint(0, start, ARRIVING), waypoint(seconds, end)];
  },
});
