import { ARRIVING, GENTLE, RUNNING } from './eases.js';
import { degrees, place, side, signOf, target, viewFov, viewPitch } from './params.js';
import { move } from './types.js';
import { aimOf, LEVEL, view, waypoint, yawOf } from './views.js';

/** Of the time: the band begins to grow, and fills the frame; only then it is bent straight. */
const GROWS = 0.2;
const FILLS = 0.58;

export const unroll = move({
  name: 'unroll',
  title: 'The whole horizon as a band across the frame, which opens into the view.',
  goodFor: 'openings in wide frames; over a blurred background',
  begins: { words: 'a band of the whole sphere', projection: 'equirectangular' },
  ends: LEVEL,
  params: {
    to: target('what it opens to', 0),
    place: place('where in the frame that sits, when it is a mark or a direction'),
    pitch: viewPitch('of the view at the end, when to is a yaw', 0),
    fov: viewFov('of the view at the end', 72),
    spin: degrees('by which the band turns on the way', [0, 100, 170], { begin: true }),
    direction: { ...side('to which it turns'), begin: true },
  },
  usual: () => 8,
  expand({ to, place, pitch, fov, spin, direction }, { seconds, before }) {
    const end = aimOf(to, pitch, place);
    const band = view(
      { yaw: yawOf(end) - signOf(direction) * spin, pitch: 0 },
      360,
      'equirectangular',
      {
        fovSide: 'horizontal',
      },
    );
    const start = before ?? band;
    const { fov: whole, fovSide, projection } = start;
    return [
      waypoint(0, start, before ? GENTLE : RUNNING),
      { at: GROWS * seconds, pitch: 0, fov: whole, fovSide, ease: ARRIVING },
      { at: FILLS * seconds, projection, ease: GENTLE },
      waypoint(seconds, view(end, fov)),
    ];
  },
});
