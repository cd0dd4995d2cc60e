import { openMaster } from '../../../src/master/open.js';
import { uploadMaster } from '../../../src/render/masterTexture.js';
import { atLeast, compare, framesOf, median } from '../measure.js';
import { short } from '../table.js';
import type { Bench, Result } from '../types.js';
import { v360Speed } from '../v360.js';
import { openTurning, SIZE, VIEWS } from '../views.js';

const WIDTH_OF_MASTER = 8192;

/** Frames a second without encoding, against v360's, which takes one bilinear sample a pixel. */
export async function* reframe(bench: Bench): AsyncIterable<Result> {
  const { context, rounds, say } = bench;
  const file = await bench.master(WIDTH_OF_MASTER);
  const master = uploadMaster(context, await openMaster(file));
  for (const [quality, least] of [
    ['draft', 5],
    ['final', 2],
  ] as const) {
    for (const view of VIEWS) {
      const work = `${SIZE} ${view.projection} from ${WIDTH_OF_MASTER}, ${quality}`;
      say(work);
      const turning = openTurning(context, master, view, quality);
      const ours = framesOf(bench, quality === 'draft' ? 40 : 20);
      const theirs = Math.max(4, framesOf(bench, 10));
      turning.time(2);
      const cpu: { ours: number[]; theirs: number[] } = { ours: [], theirs: [] };
      const start = await v360Speed(bench, file, view, 2);
      const compared = await compare(
        rounds,
        () => {
          const before = process.cpuUsage();
          const time = turning.time(ours);
          const { user, system } = process.cpuUsage(before);
          cpu.ours.push((user + system) / 1000 / ours);
          return ours / time;
        },
        async () => {
          const speed = await v360Speed(bench, file, view, theirs);
          cpu.theirs.push((1000 * (speed.cpu - start.cpu)) / (theirs - 2));
          return speed.fps;
        },
      );
      const [own, other] = [median(cpu.ours), median(cpu.theirs)];
      const note = `CPU time of a frame, which other programs hardly change: ${short(own)} against ${short(other)} ms, ratio ${(other / own).toFixed(2)}.`;
      turning.destroy();
      const against = 'v360, yaw commanded';
      yield { work, against, unit: 'fps', ...compared, target: atLeast(least), note };
    }
  }
  master.destroy();
}
