import { GENTLE } from './eases.js';
import { place, target, viewFov, viewPitch } from './params.js';
import { move } from './types.js';
import { ANY, aimOf, LEVEL, nearestAim, view, waypoint, yawOf } from './views.js';

export const turnTo = move({
  name: 'turn-to',
  title: 'From one thing to another, the shorter way round.',
  goodFor: 'leading the eye from here to there',
  begins: ANY,
  ends: LEVEL,
  params: {
    from: target('what it begins with', -60, { begin: true }),
    to: target('what it ends with', 0),
    place: place('where in the frame that sits, when it is a mark or a direction'),
    pitch: viewPitch('of the view, where it looks at a yaw', 0),
    fov: viewFov('of the view', 66, { kept: true }),
  },
  usual: () => 6,
  expand({ from, to, place, pitch, fov }, { seconds, before }) {
    const start = before ?? view(aimOf(from, pitch, place), fov);
    const end = nearestAim(aimOf(to, pitch, place), yawOf(start.aim));
    return [waypoint(0, start, GENTLE), waypoint(seconds, view(end, fov))];
  },
});
