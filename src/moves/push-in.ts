import { GENTLE } from './eases.js';
import { place, target, viewFov, viewPitch } from './params.js';
import { move } from './types.js';
import { ANY, aimOf, LEVEL, nearestAim, view, waypoint, yawOf } from './views.js';

export const pushIn = move({
  name: 'push-in',
  title: 'Nearer and nearer to one thing.',
  goodFor: 'saying what matters in a wide view',
  begins: ANY,
  ends: LEVEL,
  params: {
    to: target('what it goes for', 0),
    place: place('where in the frame that sits, when it is a mark or a direction'),
    pitch: viewPitch('of the view, when to is a yaw', 0),
    fov: viewFov('of the view at the end', 36),
    wideFov: viewFov('of the view at the start', 84, { begin: true }),
  },
  usual: () => 7,
  expand({ to, place, pitch, fov, wideFov }, { seconds, before }) {
    const aim = aimOf(to, pitch, place);
    const start = before ?? view(aim, wideFov);
    const end = view(nearestAim(aim, yawOf(start.aim)), fov);
    return [waypoint(0, start, GENTLE), waypoint(seconds, end)];
  },
});
