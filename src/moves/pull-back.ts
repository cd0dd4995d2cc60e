import { GENTLE } from './eases.js';
import { place, target, viewFov, viewPitch } from './params.js';
import { move } from './types.js';
import { ANY, aimOf, LEVEL, view, waypoint } from './views.js';

export const pullBack = move({
  name: 'pull-back',
  title: 'From one thing back, until all that is round it is in the frame.',
  goodFor: 'a riddle first, its place in the landscape then',
  begins: ANY,
  ends: LEVEL,
  params: {
    from: target('what it begins with, and keeps in its place', 0, { begin: true }),
    place: { ...place('where in the frame that sits, when it is a mark'), begin: true },
    pitch: viewPitch('of the view, when from is a yaw', 0, { begin: true }),
    fov: viewFov('of the view at the end', 90),
    closeFov: viewFov('of the view at the start', 34, { begin: true }),
  },
  usual: () => 7,
  expand({ from, place, pitch, fov, closeFov }, { seconds, before }) {
    const start = before ?? view(aimOf(from, pitch, place), closeFov);
    return [waypoint(0, start, GENTLE), waypoint(seconds, view(start.aim, fov))];
  },
});
