import { openMaster } from '../../../src/master/open.js';
import { uploadMaster } from '../../../src/render/masterTexture.js';
import { atMost, compare, framesOf } from '../measure.js';
import type { Bench, Result } from '../types.js';
import { openTurning, SIZE, VIEWS } from '../views.js';

/** Time of a frame from a large master against a small one. */
export async function* size(bench: Bench): AsyncIterable<Result> {
  const { context, rounds, say } = bench;
  const upload = async (width: number) =>
    uploadMaster(context, await openMaster(await bench.master(width)));
  say('Masters of 16384 and 4096');
  const masters = [await upload(16384), await upload(4096)] as const;
  for (const quality of ['draft', 'final'] as const) {
    for (const view of VIEWS) {
      const work = `${SIZE} ${view.projection} from 16384, ${quality}`;
      say(work);
      const [large, small] = masters.map((master) => openTurning(context, master, view, quality));
      const frames = framesOf(bench, 20);
      for (const turning of [large!, small!]) turning.time(2);
      const perFrame = (seconds: number) => (1000 * seconds) / frames;
      const compared = await compare(
        rounds,
        () => perFrame(large!.time(frames)),
        () => perFrame(small!.time(frames)),
      );
      for (const turning of [large!, small!]) turning.destroy();
      yield { work, against: 'from 4096', unit: 'ms', ...compared, target: atMost(1.25) };
    }
  }
  for (const master of masters) master.destroy();
}
