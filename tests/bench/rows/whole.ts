import { availableParallelism } from 'node:os';
import { join } from 'node:path';
import { openMaster } from '../../../src/master/open.js';
import { uploadMaster } from '../../../src/render/masterTexture.js';
import { renderClips } from '../../../src/render.js';
import { loadScene } from '../../../src/scene/load.js';
import { writeScene } from '../children.js';
import { dumpFrames, encodeOnly } from '../encode-only.js';
import { othersBetween, usage } from '../machine.js';
import { atMost, compare, framesOf } from '../measure.js';
import type { Bench, Result } from '../types.js';
import { openTurning, SIZE, VIEWS } from '../views.js';

const PRESET = 'veryfast';
const [view] = VIEWS as [(typeof VIEWS)[number]];

/**
 * Wall time of a render against the least that its work can take: the CPU time of drawing alone and of
 * encoding alone, spread over the cores.
 */
export async function* whole(bench: Bench): AsyncIterable<Result> {
  const { context, rounds, folder, say } = bench;
  const frames = framesOf(bench, 30);
  const file = await bench.master(8192);
  const scene = await loadScene(await writeScene(folder, file, { ...view, outputs: ['vertical'] }));
  for (const quality of ['draft', 'final'] as const) {
    const work = `whole render ${SIZE}, ${quality}, x264 ${PRESET}`;
    say(work);
    const master = uploadMaster(context, await openMaster(file));
    const turning = openTurning(context, master, view, quality);
    const raw = dumpFrames(bench, turning, frames + 1);
    const bound = async () => {
      const before = process.cpuUsage();
      turning.time(frames);
      const { user, system } = process.cpuUsage(before);
      // As with the render, the first frame, which comes with the start, does not count.
      const [all, first] = [
        await encodeOnly(bench, raw, PRESET),
        await encodeOnly(bench, raw, PRESET, 1),
      ];
      return (user + system) / 1e6 + all.cpu - first.cpu;
    };
    const output = scene.outputs[0]!;
    const render = async () => {
      let [start, before] = [0, usage()];
      await renderClips({
        ...{ scene, quality, overwrite: true, ffmpeg: bench.ffmpeg, choice: { preset: PRESET } },
        deliveries: [{ output, file: join(folder, 'whole.mp4') }],
        to: (frames + 1) / scene.fps,
        // The first frame comes with the master's decoding and the encoder's start.
        onProgress({ done }) {
          if (done === 1) [start, before] = [performance.now(), usage()];
        },
      });
      const wall = (performance.now() - start) / 1000;
      // What other programs took of the cores was not there to be used.
      return wall - othersBetween(before, usage()) / availableParallelism();
    };
    const spread = async () => (await bound()) / availableParallelism();
    const compared = await compare(Math.min(rounds, 3), render, spread);
    turning.destroy();
    master.destroy();
    const against = 'CPU time of drawing and encoding alone / cores';
    const note = `${frames} frames; without the time that other programs kept cores busy.`;
    yield { work, against, unit: 's', ...compared, target: atMost(1.15), note };
  }
}
