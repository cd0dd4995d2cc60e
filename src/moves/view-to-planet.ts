import { GENTLE, LEAVING } from './eases.js';
import { degrees, place, planetFov, side, signOf, target, viewFov, viewPitch } from './params.js';
import { move } from './types.js';
import { ANY, aimOf, PLANET, planet, view, waypoint, yawOf } from './views.js';

/** Of the time: it looks straight down. */
const DOWN = 0.85;

export const viewToPlanet = move({
  name: 'view-to-planet',
  title: 'From the view up, until the whole place is a little planet.',
  goodFor: 'endings: it takes leave of a place by showing all of it',
  begins: ANY,
  ends: PLANET,
  params: {
    from: target('what it begins with', 0, { begin: true }),
    place: { ...place('where in the frame that sits, when it is a mark'), begin: true },
    pitch: viewPitch('of the view at the start, when from is a yaw', 3, { begin: true }),
    fov: viewFov('of the view at the start', 74, { begin: true }),
    planetFov: planetFov('of the planet at the end', 256),
    spin: degrees('by which the planet turns on the way', [0, 130, 720]),
    direction: side('to which the planet turns'),
  },
  usual: () => 8,
  expand({ from, place, pitch, fov, planetFov, spin, direction }, { seconds, before }) {
    const start = before ?? view(aimOf(from, pitch, place), fov);
    const end = planet(yawOf(start.aim) + signOf(direction) * spin, planetFov);
    return [
      waypoint(0, start, LEAVING),
      { at: DOWN * seconds, pitch: -90, ease: GENTLE },
      waypoint(seconds, end),
    ];
  },
});
