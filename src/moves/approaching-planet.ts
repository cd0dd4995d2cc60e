import { ARRIVING } from './eases.js';
import { degrees, planetFov, side, signOf, target } from './params.js';
import { move } from './types.js';
import { PLANET, planet, waypoint, yawOf } from './views.js';

export const approachingPlanet = move({
  name: 'approaching-planet',
  title: 'The little planet comes near out of the distance, turning.',
  goodFor: 'the very first seconds; planet-to-view goes on from it',
  begins: PLANET,
  ends: PLANET,
  params: {
    to: target('what is at the top of the frame at the end', 0),
    planetFov: planetFov('of the planet at the end', 256),
    farFov: degrees('of the planet at the start, far off', [250, 336, 350], { begin: true }),
    spin: degrees('by which it turns on the way', [0, 110, 720], { begin: true }),
    direction: { ...side('to which the camera turns'), begin: true },
  },
  usual: () => 7,
  expand({ to, planetFov, farFov, spin, direction }, { seconds, before }) {
    const end = planet(yawOf(to), planetFov);
    const start = before ?? planet(yawOf(to) - signOf(direction) * spin, farFov);
    return [waypoint(0, start, ARRIVING), waypoint(seconds, end)];
  },
});
