import { GENTLE } from './eases.js';
import { degrees, planetFov, side, signOf, target } from './params.js';
import { move } from './types.js';
import { INSIDE_OUT, PLANET, planet, waypoint, yawOf } from './views.js';

export const insideOut = move({
  name: 'inside-out',
  title: 'The little planet turns inside out: the land comes to lie all round the sky.',
  goodFor: 'a surprise between two calm parts',
  begins: PLANET,
  ends: INSIDE_OUT,
  params: {
    from: target('what is at the top of the planet first', 0, { begin: true }),
    planetFov: planetFov('of the planet at the start', 250, { begin: true }),
    skyFov: planetFov('at the end: the wider, the more land round the sky', 260),
    spin: degrees('by which it turns meanwhile', [0, 60, 360]),
    direction: side('to which the camera turns'),
  },
  usual: () => 8,
  expand({ from, planetFov, skyFov, spin, direction }, { seconds, before }) {
    const start = before ?? planet(yawOf(from), planetFov);
    const yaw = yawOf(start.aim) + signOf(direction) * spin;
    return [waypoint(0, start, GENTLE), waypoint(seconds, planet(yaw, skyFov, 90))];
  },
});
