import { EVEN, STEADY } from './eases.js';
import { choice, planetFov, side, signOf, target, turns } from './params.js';
import { move } from './types.js';
import { PLANET, planet, waypoint, yawOf } from './views.js';

/** Seconds for a whole turn; less than four are never needed for a part of one. */
const A_TURN = 14;

export const turningPlanet = move({
  name: 'turning-planet',
  title: 'The little planet turns below the camera.',
  goodFor: 'backgrounds for titles, loops (ends: even), a calm start',
  begins: PLANET,
  ends: PLANET,
  params: {
    turns: turns('how far it turns', [0.05, 1, 10]),
    direction: side('to which the camera turns; the planet seems to turn the other way'),
    from: target('what is at the top of the frame first', 0, { begin: true }),
    planetFov: planetFov('of the planet; wider makes it smaller', 250, { kept: true }),
    ends: choice('gentle sets off and stops softly, even turns at one speed, for loops', [
      'gentle',
      'even',
    ]),
  },
  usual: ({ turns }) => Math.max(4, A_TURN * turns),
  expand({ turns, direction, from, planetFov, ends }, { seconds, before }) {
    const start = before ?? planet(yawOf(from), planetFov);
    const yaw = yawOf(start.aim) + signOf(direction) * 360 * turns;
    return [
      waypoint(0, start, ends === 'even' ? EVEN : STEADY),
      waypoint(seconds, planet(yaw, planetFov)),
    ];
  },
});
