import { join } from 'node:path';
import { timeOfCommand, writeScene } from '../children.js';
import { atMost, compare, framesOf } from '../measure.js';
import type { Bench, Result } from '../types.js';

const SHAPES = ['vertical', 'square', 'landscape'];

/** Three shapes in one run of the command against a run for each. */
export async function* shapes(bench: Bench): AsyncIterable<Result> {
  const { rounds, folder, say } = bench;
  const frames = framesOf(bench, 30);
  const master = await bench.master(8192);
  const view = { fov: 240, projection: 'stereographic', outputs: SHAPES };
  const scene = await writeScene(folder, master, view);
  const work = `three shapes of ${frames} frames in one run, final, x264 veryfast`;
  say(work);
  const render = (shapes: readonly string[]) =>
    timeOfCommand([
      ...['render', scene, ...shapes.flatMap((shape) => ['--shape', shape])],
      ...['--from', '0', '--to', String(frames / 30), '--preset', 'veryfast'],
      ...['--out', join(folder, 'shapes.mp4'), '--overwrite', '--quiet'],
    ]);
  const oneByOne = async () => {
    let sum = 0;
    for (const shape of SHAPES) sum += await render([shape]);
    return sum;
  };
  const compared = await compare(Math.min(rounds, 2), () => render(SHAPES), oneByOne);
  yield { work, against: 'three runs', unit: 's', ...compared, target: atMost(0.75) };
}
