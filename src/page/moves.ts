import { type mat3, quat } from 'gl-matrix';
import type { Camera, Lens } from '../camera/types.js';
import { camerasOf } from '../flow/cameras.js';
import { findLens } from '../projection/index.js';
import { isSphere } from '../scene/shapes.js';
import type { Sequence, SequenceOutput } from '../scene/types.js';
import { shotsAt } from '../timeline/shots.js';
import type { Moves, Run } from './types.js';

/** Samples a second: between them the page interpolates. */
const MOST_RATE = 30;

/** A camera at one instant, and which shot it belongs to. */
export interface Sampled {
  readonly shot: number;
  readonly camera: Camera;
}

/** A scene's moves in each kind of frame that has moves of its own. Whole spheres count only alone. */
export function sceneMoves(scene: Sequence): Moves[] {
  const flat = scene.outputs.filter(({ shape }) => !isSphere(shape));
  const all = (flat.length > 0 ? flat : scene.outputs).map((output) => movesOf(scene, output));
  return all.filter(
    (moves, index) => all.findIndex((other) => other.samples === moves.samples) === index,
  );
}

function movesOf(scene: Sequence, output: SequenceOutput): Moves {
  const rate = Math.min(scene.fps, MOST_RATE);
  const loop = scene.shots.length === 1 && scene.shots[0]?.loop === true;
  const cameras = camerasOf(scene, output);
  const count = Math.max(1, Math.round(scene.duration * rate) + (loop ? 0 : 1));
  const sampled = Array.from({ length: count }, (_, n): Sampled => {
    const seconds = Math.min(n / rate, scene.duration);
    const seen = shotsAt(scene, seconds);
    const { shot, at } = seen.reduce((best, one) => (one.share > best.share ? one : best));
    return { shot, camera: cameras(shot)(at) };
  });
  return { aspect: output.width / output.height, rate, loop, ...encodeSamples(sampled) };
}

/** See `Moves`. */
export function encodeSamples(sampled: readonly Sampled[]): Pick<Moves, 'runs' | 'samples'> {
  const values: number[] = [];
  const runs: { projections: Run['projections']; count: number; shot: number }[] = [];
  let before: readonly number[] | undefined;
  for (const { shot, camera } of sampled) {
    const lenses = camera.lenses.map(asPerspective);
    const projections = lenses.map(({ projection }) => projection) as unknown as [string];
    const current = runs.at(-1);
    const goesOn = current?.shot === shot && String(current.projections) === String(projections);
    if (goesOn) current.count++;
    else runs.push({ projections, count: 1, shot });
    const turn = quaternionOf(camera.rotation, before);
    before = turn;
    values.push(...turn, ...lenses.flatMap(lensValues));
    if (lenses.length === 2) values.push(camera.mix);
  }
  const bytes = Buffer.alloc(values.length * 4);
  for (const [index, value] of values.entries()) bytes.writeFloatLE(value, index * 4);
  const plain = runs.map(({ projections, count }) => ({ projections, count }));
  return { runs: plain, samples: bytes.toString('base64') };
}

/** Rectilinear and stereographic are the ends of the general perspective, which one program draws. */
function asPerspective({ projection, params, halfExtent }: Lens): Lens {
  const ends: Readonly<Record<string, number>> = { rectilinear: 0, stereographic: 1 };
  const distance = ends[projection];
  if (distance === undefined) return { projection, params, halfExtent };
  return { projection: 'perspective', params: { distance }, halfExtent };
}

function lensValues({ projection, params, halfExtent }: Lens): [number, number] {
  const [param] = findLens(projection).params;
  return [Math.min(...halfExtent), param === undefined ? 0 : (params[param.name] ?? param.default)];
}

/** Of the two that say the same, the one nearer to the one before, so that they can be interpolated. */
function quaternionOf(rotation: readonly number[], before: readonly number[] | undefined) {
  const out = quat.fromMat3(
    [0, 0, 0, 1] as unknown as quat,
    rotation as unknown as Parameters<typeof mat3.clone>[0],
  );
  const turn = [...quat.normalize(out, out)];
  const dot = before === undefined ? 1 : turn.reduce((sum, part, i) => sum + part * before[i]!, 0);
  return dot < 0 ? turn.map((part) => -part) : turn;
}
