import { GENTLE } from './eases.js';
import { planetFov, side, signOf, target, viewFov, viewPitch } from './params.js';
import { move } from './types.js';
import { ANY, LEVEL, STEREOGRAPHIC, view, waypoint, yawOf } from './views.js';

/** Of the time: the picture begins to turn, the zenith, the picture has turned. */
const TURNS = 0.28;
const TOP = 0.5;
const TURNED = 0.72;

export const overTheTop = move({
  name: 'over-the-top',
  title: 'Up over the zenith, rolling upright there, and down to the view behind.',
  goodFor: 'what lies behind the camera, and how much sky there was',
  begins: ANY,
  ends: LEVEL,
  params: {
    from: target('what it begins with; it ends with what lies behind', 0, { begin: true }),
    pitch: viewPitch('of the view at both ends', 2, { kept: true }),
    fov: viewFov('of the view at both ends', 76, { kept: true }),
    skyFov: planetFov('at the zenith: the wider, the more land all round it', 230),
    direction: side('to which the camera rolls'),
  },
  usual: () => 12,
  expand({ from, pitch, fov, skyFov, direction }, { seconds, before }) {
    const start = before ?? view({ yaw: yawOf(from), pitch }, fov);
    const yaw = yawOf(start.aim);
    const end = yaw + signOf(direction) * 180;
    return [
      waypoint(0, start, GENTLE),
      { at: TURNS * seconds, yaw, ease: GENTLE },
      { at: TOP * seconds, pitch: 90, fov: skyFov, projection: STEREOGRAPHIC, ease: GENTLE },
      { at: TURNED * seconds, yaw: end },
      waypoint(seconds, view({ yaw: end, pitch }, fov)),
    ];
  },
});
