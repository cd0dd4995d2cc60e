import { writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import sharp from 'sharp';
import { rawInput } from '../../../src/encode/input.js';
import { startFfmpeg } from '../../../src/encode/process.js';
import { openMaster } from '../../../src/master/open.js';
import { uploadMaster } from '../../../src/render/masterTexture.js';
import { type Bar, drawBars } from '../bars.js';
import { dumpFrames, encodeOnly, RATE } from '../encode-only.js';
import { framesOf, median, seconds } from '../measure.js';
import type { Bench, Result } from '../types.js';
import { HEIGHT, openTurning, SIZE, type Turning, VIEWS, WIDTH } from '../views.js';

/** The presets that a render of that quality uses. */
const PRESETS = { draft: 'veryfast', final: 'medium', best: 'medium' } as const;
type BenchQuality = keyof typeof PRESETS;

const [view] = VIEWS as [(typeof VIEWS)[number]];

/** Where one frame's time goes, each stage alone on the machine; as a picture too. */
export async function* stages(bench: Bench): AsyncIterable<Result> {
  const { context, out, say } = bench;
  const master = uploadMaster(context, await openMaster(await bench.master(8192)));
  const bars: Bar[] = [];
  for (const quality of ['draft', 'final', 'best'] as const) {
    say(`Stages of a frame, ${quality}`);
    const turning = openTurning(context, master, view, quality);
    bars.push({ name: quality, parts: await partsOf(bench, turning, quality) });
    turning.destroy();
  }
  master.destroy();
  const title = `One ${SIZE} frame, stage by stage, in milliseconds`;
  const svg = drawBars({ title, note: context.info.renderer, bars });
  await writeFile(join(out, 'where-the-time-goes.svg'), svg);
  await sharp(Buffer.from(svg), { density: 144 })
    .png()
    .toFile(join(out, 'where-the-time-goes.png'));
  for (const { name, parts } of bars) {
    const whole = parts.reduce((sum, { value }) => sum + value, 0);
    for (const { name: stage, value } of parts) {
      const work = `one ${SIZE} frame, ${name}: ${stage}`;
      const figures = { ours: value, theirs: whole, ratio: value / whole };
      yield { work, against: 'all stages', unit: 'ms', ...figures };
    }
  }
}

async function partsOf(
  bench: Bench,
  turning: Turning,
  quality: BenchQuality,
): Promise<Bar['parts']> {
  const { rounds } = bench;
  const frames = framesOf(bench, quality === 'best' ? 5 : 20);
  turning.frame();
  const draws: number[] = [];
  const reads: number[] = [];
  for (let i = 0; i < frames; i++) {
    draws.push(await seconds(turning.draw));
    reads.push(await seconds(turning.read));
  }
  const raw = dumpFrames(bench, turning, frames);
  const pipes: number[] = [];
  const encodes: number[] = [];
  for (let round = 0; round < rounds; round++) {
    pipes.push((await pipeOnly(bench, turning.read(), frames)) / frames);
    encodes.push((await encodeOnly(bench, raw, PRESETS[quality])).wall / frames);
  }
  const part = (name: string, values: readonly number[]) => ({
    name,
    value: 1000 * median(values),
  });
  return [
    part('draw', draws),
    part('pack and read back', reads),
    part('pipe', pipes),
    part(`encode (x264)`, encodes),
  ];
}

/** Seconds for frames through the pipe to an ffmpeg that throws them away. */
async function pipeOnly({ ffmpeg }: Bench, frame: Uint8Array, frames: number): Promise<number> {
  const input = rawInput('yuv420p', WIDTH, HEIGHT, RATE);
  const args = [...input, '-c:v', 'copy', '-f', 'null', '-'];
  const process = startFfmpeg(ffmpeg.path, args, 'nothing');
  await process.write(frame);
  const time = await seconds(async () => {
    for (let i = 0; i < frames; i++) await process.write(frame);
  });
  await process.finish();
  return time;
}
