import { mkdir } from 'node:fs/promises';
import { join } from 'node:path';
import { diskError } from './disk.js';
import { guarded } from './guard.js';
import { rawInput } from './input.js';
import { startFfmpeg } from './process.js';
import { type Rational, rateText } from './rate.js';
import { openTarget } from './target.js';
import { removeTemporary, temporaryBeside } from './temporary.js';
import type { ClipWriter } from './types.js';
import type { VideoFile } from './video.js';

/** GIF counts hundredths of a second. */
const TICKS = 100;
/** Viewers slow down frames shorter than that many ticks (common practice, no source). */
const SHORTEST = 2;
const FASTEST = TICKS / SHORTEST;

/** Error diffusion takes three times as long as an ordered pattern, and shows no pattern. */
const DITHER = { draft: 'bayer:bayer_scale=4', final: 'sierra2_4a' } as const;

/**
 * A GIF with a palette of its own. The palette needs every frame before the first can be written, and
 * ffmpeg's one-graph way keeps them all in memory, so they wait on the disk, losslessly packed.
 */
export async function openGif(clip: VideoFile): Promise<ClipWriter> {
  const { file, width, height, rate, alpha, container } = clip;
  const target = await openTarget(file, clip.overwrite);
  const folder = temporaryBeside(target.temporary, '.frames');
  await mkdir(folder).catch((error: unknown) => {
    throw diskError(error, file);
  });
  const frames = join(folder, 'frames.nut');
  const palette = join(folder, 'palette.png');
  const hide = { [`file:${target.temporary}`]: file, [folder]: file };
  let run = startFfmpeg(
    clip.ffmpeg.path,
    [
      ...rawInput('rgba', width, height, rate),
      '-filter_complex',
      `[0:v]fps=${rateText(slower(rate))},split[keep][look];` +
        `[look]palettegen=stats_mode=full:reserve_transparent=${alpha ? 1 : 0}[palette]`,
      ...['-map', '[keep]', '-c:v', 'utvideo', '-f', 'nut', `file:${frames}`],
      ...['-map', '[palette]', '-frames:v', '1', '-update', '1', '-f', 'image2', `file:${palette}`],
    ],
    file,
    hide,
  );
  let count = 0;
  const paint = () =>
    startFfmpeg(
      clip.ffmpeg.path,
      [
        ...['-i', `file:${frames}`, '-i', `file:${palette}`],
        ...[
          '-lavfi',
          `paletteuse=dither=${DITHER[clip.quality]}:diff_mode=rectangle:alpha_threshold=128`,
        ],
        ...container.options(rate),
        ...['-final_delay', String(lastDelay(count, rate))],
        ...['-f', container.muxer, `file:${target.temporary}`],
      ],
      file,
      hide,
    );
  return guarded({
    pixelFormat: 'rgba',
    write(frame) {
      count++;
      return run.write(frame);
    },
    async finish() {
      await run.finish();
      run = paint();
      await run.finish();
      await removeTemporary(folder);
      await target.commit();
    },
    async abort() {
      await run.kill();
      await removeTemporary(folder);
      await target.discard();
    },
  });
}

const fpsOf = ({ numerator, denominator }: Rational): number => numerator / denominator;

const slower = (rate: Rational): Rational =>
  fpsOf(rate) > FASTEST ? { numerator: FASTEST, denominator: 1 } : rate;

/**
 * How long the last of so many frames stays, in ticks, so that the whole lasts as long as it should: each frame
 * begins on the tick nearest to its instant. ffmpeg would repeat the delay of the last but one.
 */
function lastDelay(frames: number, rate: Rational): number {
  const shown = slower(rate);
  const kept = Math.max(1, Math.round((frames * fpsOf(shown)) / fpsOf(rate)));
  const tickOf = (frame: number, { numerator, denominator }: Rational) =>
    Math.round((frame * TICKS * denominator) / numerator);
  return Math.max(SHORTEST, tickOf(frames, rate) - tickOf(kept - 1, shown));
}
