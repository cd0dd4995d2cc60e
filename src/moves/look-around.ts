import { STEADY } from './eases.js';
import { degrees, side, signOf, target, viewFov, viewPitch } from './params.js';
import { move } from './types.js';
import { ANY, view, waypoint, yawOf } from './views.js';

/** Degrees per second: slow enough to read the picture. */
const SLOW = 9;

export const lookAround = move({
  name: 'look-around',
  title: 'A slow look round the horizon.',
  goodFor: 'showing where one is; calm parts, long titles',
  begins: ANY,
  ends: { words: 'the view it has then' },
  params: {
    from: target('where it begins', -45, { begin: true }),
    sweep: degrees('how far it turns', [5, 90, 720]),
    direction: side('to which it turns'),
    pitch: viewPitch('of the view', -1, { kept: true }),
    fov: viewFov('of the view', 68, { kept: true }),
  },
  usual: ({ sweep }) => Math.max(5, sweep / SLOW),
  expand({ from, sweep, direction, pitch, fov }, { seconds, before }) {
    const start = before ?? view({ yaw: yawOf(from), pitch }, fov);
    const yaw = yawOf(start.aim) + signOf(direction) * sweep;
    const end = { ...start, fov, aim: { yaw, pitch } };
    return [waypoint(0, start, STEADY), waypoint(seconds, end)];
  },
});
