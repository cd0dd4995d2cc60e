import { join } from 'node:path';
import { run, timeOfCommand, writeScene } from '../children.js';
import { atMost, compare, seconds } from '../measure.js';
import type { Bench, Result } from '../types.js';
import { v360Filter } from '../v360.js';
import { SIZE, VIEWS } from '../views.js';

/** One picture from a cold start, both into PNG. */
export async function* still(bench: Bench): AsyncIterable<Result> {
  const { rounds, folder, ffmpeg, say } = bench;
  const master = await bench.master(8192);
  for (const quality of ['final', 'draft'] as const) {
    for (const view of VIEWS) {
      const work = `still ${SIZE} ${view.projection} from 8192, cold, ${quality}`;
      say(work);
      const scene = await writeScene(folder, master, { ...view, outputs: ['vertical'] });
      const ours = () =>
        timeOfCommand([
          ...['still', scene, '--at', '0', '--quality', quality],
          ...['--out', join(folder, 'ours.png'), '--overwrite', '--quiet'],
        ]);
      const theirs = () =>
        seconds(() =>
          run(ffmpeg.path, [
            ...['-y', '-v', 'error', '-i', master, '-vf', v360Filter(view)],
            ...['-pix_fmt', 'rgb24', '-frames:v', '1', join(folder, 'theirs.png')],
          ]),
        );
      const compared = await compare(rounds, ours, theirs);
      yield { work, against: 'v360', unit: 's', ...compared, target: atMost(1) };
    }
  }
}
