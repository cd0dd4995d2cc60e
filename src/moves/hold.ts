import { GENTLE } from './eases.js';
import { target, viewFov, viewPitch } from './params.js';
import { move } from './types.js';
import { ANY, view, waypoint, yawOf } from './views.js';

export const hold = move({
  name: 'hold',
  title: 'Nothing moves.',
  goodFor: 'a rest between two moves, time to read a title',
  begins: ANY,
  ends: { words: 'the view it began with' },
  params: {
    from: target('what it shows', 0, { begin: true }),
    pitch: viewPitch('of the view', 0, { begin: true }),
    fov: viewFov('of the view', 70, { begin: true }),
  },
  usual: () => 2,
  expand({ from, pitch, fov }, { seconds, before }) {
    const start = before ?? view({ yaw: yawOf(from), pitch }, fov);
    return [waypoint(0, start, GENTLE), waypoint(seconds, start)];
  },
});
