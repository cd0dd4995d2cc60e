import { ARRIVING, GENTLE, LEAVING, STEADY } from './eases.js';
import { degrees, side, signOf, target, viewFov, viewPitch } from './params.js';
import { move } from './types.js';
import { ANY, LEVEL, nearestAim, view, waypoint, yawOf } from './views.js';

/** Of the time: the ball appears above the frame, hovers, has come nearest, is gone. */
const APPEARS = 0.03;
const HOVERS = 0.36;
const NEAREST = 0.66;
const GONE = 0.97;

/** Degrees by which it comes from above, and by which it rises and sinks while it hovers. */
const ABOVE = 70;
const BOB = 1.5;

export const hoveringBall = move({
  name: 'hovering-ball',
  title: 'A ball floats down into the landscape, hovers, and rises again; the place is seen in it.',
  goodFor: 'a riddle in the middle of a clip; ball: mirror shows what lies behind the camera',
  begins: ANY,
  ends: LEVEL,
  params: {
    to: target('where the ball hovers, and the camera looks', 0, { kept: true }),
    pitch: viewPitch('of the view', 1, { kept: true }),
    fov: viewFov('of the view', 72, { kept: true }),
    size: degrees('that the ball takes up when it is nearest', [5, 48, 90]),
    height: degrees('of the ball above the middle of the view', [-40, -3, 40]),
    drift: degrees('by which the camera turns past it', [0, 16, 90]),
    direction: side('to which the camera turns'),
  },
  usual: () => 10,
  expand({ to, pitch, fov, size, height, drift, direction }, { seconds, before }) {
    const sign = signOf(direction);
    const middle = before ? nearestAim({ yaw: yawOf(to), pitch }, yawOf(before.aim)) : undefined;
    const yaw = middle ? yawOf(middle) : yawOf(to);
    const start = before ?? view({ yaw: yaw - (sign * drift) / 2, pitch }, fov);
    const end = view({ yaw: yaw + (sign * drift) / 2, pitch }, fov);
    const level = pitch + height;
    const ball = (off: number, up: number, size: number, distance: number) => ({
      ball: { yaw: yaw - sign * off, pitch: level + up, size, distance },
    });
    return [
      waypoint(0, start, STEADY),
      { at: APPEARS * seconds, ...ball(-drift / 3, ABOVE, 0, 1.6), ease: ARRIVING },
      { at: HOVERS * seconds, ...ball(-drift / 12, -BOB, size, 1.12), ease: GENTLE },
      { at: NEAREST * seconds, ...ball(drift / 12, BOB, size, 1), ease: LEAVING },
      { at: GONE * seconds, ...ball(drift / 3, ABOVE, 0, 1.6) },
      waypoint(seconds, end),
    ];
  },
});
