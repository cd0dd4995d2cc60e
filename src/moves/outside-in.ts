import { GENTLE } from './eases.js';
import { degrees, planetFov, side, signOf, target } from './params.js';
import { move } from './types.js';
import { INSIDE_OUT, PLANET, planet, waypoint, yawOf } from './views.js';

export const outsideIn = move({
  name: 'outside-in',
  title: 'The land round the sky closes into the little planet again.',
  goodFor: 'coming back from inside-out, or an opening that nobody expects',
  begins: INSIDE_OUT,
  ends: PLANET,
  params: {
    from: target('towards what the bottom of the frame looks first', 0, { begin: true }),
    skyFov: planetFov('at the start', 260, { begin: true }),
    planetFov: planetFov('of the planet at the end', 250),
    spin: degrees('by which it turns meanwhile', [0, 60, 360]),
    direction: side('to which the camera turns'),
  },
  usual: () => 8,
  expand({ from, planetFov, skyFov, spin, direction }, { seconds, before }) {
    const start = before ?? planet(yawOf(from), skyFov, 90);
    const yaw = yawOf(start.aim) + signOf(direction) * spin;
    return [waypoint(0, start, GENTLE), waypoint(seconds, planet(yaw, planetFov))];
  },
});
