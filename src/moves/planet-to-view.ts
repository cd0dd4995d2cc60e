import { ARRIVING, GENTLE, RUNNING } from './eases.js';
import { degrees, place, planetFov, side, signOf, target, viewFov, viewPitch } from './params.js';
import { move } from './types.js';
import {
  aimOf,
  LEVEL,
  nearestAim,
  PLANET,
  planet,
  RECTILINEAR,
  STEREOGRAPHIC,
  view,
  waypoint,
  yawOf,
} from './views.js';

/** Of the time: the planet begins to open, and the projection has become flat. */
const OPENS = 0.2;
const FLAT = 0.925;

export const planetToView = move({
  name: 'planet-to-view',
  title: 'From above the little planet down into the view.',
  goodFor: 'openings: first the whole place, then what it is about',
  begins: PLANET,
  ends: LEVEL,
  params: {
    to: target('what it comes down to', 0),
    place: place('where in the frame that sits, when it is a mark or a direction'),
    pitch: viewPitch('of the view at the end, when to is a yaw', 3),
    fov: viewFov('of the view at the end', 74),
    planetFov: planetFov('of the planet at the start', 256, { begin: true }),
    spin: degrees('by which the planet turns on the way', [0, 130, 170], { begin: true }),
    direction: { ...side('to which the planet turns'), begin: true },
  },
  usual: () => 9,
  expand({ to, place, pitch, fov, planetFov, spin, direction }, { seconds, before }) {
    const end = aimOf(to, pitch, place);
    const start = before ?? planet(yawOf(end) - signOf(direction) * spin, planetFov);
    const last = view(nearestAim(end, yawOf(start.aim)), fov);
    return [
      waypoint(0, start, before ? GENTLE : RUNNING),
      {
        at: OPENS * seconds,
        pitch: -90,
        fov: 0.93 * start.fov,
        projection: STEREOGRAPHIC,
        ease: ARRIVING,
      },
      {
        at: FLAT * seconds,
        ...('pitch' in last.aim ? { pitch: last.aim.pitch } : {}),
        projection: RECTILINEAR,
      },
      waypoint(seconds, last),
    ];
  },
});
