import { resolveCamera } from '../camera/resolve.js';
import type { Ease, Keyframe } from '../scene/types.js';
import { buildTimeline } from '../timeline/sample.js';
import { encodeSamples } from './moves.js';
import type { Moves, StartView } from './types.js';

const SECONDS = 6.5;
const RATE = 30;

/** How far the planet has turned before it opens, in degrees. */
const TURN = 110;

const bezier = (...points: [number, number, number, number]): Ease => ({ kind: 'bezier', points });

/** The move that a master's page begins with: a little planet that comes nearer, opens and levels out. */
export function openingMoves({ yaw, pitch, fov }: StartView): Moves[] {
  const [planet, level] = ['stereographic', fov > 110 ? 'stereographic' : 'rectilinear'];
  const keyframe = (seconds: number, values: Partial<Keyframe>, ease: Ease): Keyframe => ({
    at: seconds,
    ...{ turn: 'as-written', path: '', roll: 0, ease },
    ...values,
  });
  const projected = (name: string) => ({ projection: { name, params: {} } });
  const timeline = buildTimeline([
    keyframe(
      0,
      { yaw: yaw - TURN, pitch: -90, fov: 285, ...projected(planet) },
      bezier(0.3, 0.5, 0.5, 1),
    ),
    keyframe(1.6, { pitch: -90, fov: 245, ...projected(planet) }, bezier(0.5, 0, 0.3, 1)),
    keyframe(SECONDS, { yaw, pitch, fov, ...projected(level) }, { kind: 'linear' }),
  ]);
  const sampled = Array.from({ length: Math.round(SECONDS * RATE) + 1 }, (_, n) => ({
    shot: 0,
    camera: resolveCamera(timeline.at(n / RATE), 1, 1),
  }));
  return [{ aspect: 1, rate: RATE, loop: false, ...encodeSamples(sampled) }];
}
