import { mkdir } from 'node:fs/promises';
import { join } from 'node:path';
import { diskError } from './disk.js';
import { guarded } from './guard.js';
import { rawInput } from './input.js';
import { startFfmpeg } from './process.js';
import { rateText } from './rate.js';
import { openTarget } from './target.js';
import { removeTemporary, temporaryBeside } from './temporary.js';
import type { ClipWriter } from './types.js';
import type { VideoFile } from './video.js';

/** Viewers slow down frames shorter than two of GIF's hundredths of a second (common practice, no source). */
const FASTEST = 50;

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
      `[0:v]fps=${slower(rateText(rate), rate.numerator / rate.denominator)},split[keep][look];` +
        `[look]palettegen=stats_mode=full:reserve_transparent=${alpha ? 1 : 0}[palette]`,
      ...['-map', '[keep]', '-c:v', 'utvideo', '-f', 'nut', `file:${frames}`],
      ...['-map', '[palette]', '-frames:v', '1', '-update', '1', '-f', 'image2', `file:${palette}`],
    ],
    file,
    hide,
  );
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
        ...['-f', container.muxer, `file:${target.temporary}`],
      ],
      file,
      hide,
    );
  return guarded({
    pixelFormat: 'rgba',
    write: (frame) => run.write(frame),
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

const slower = (text: string, fps: number): string => (fps > FASTEST ? String(FASTEST) : text);
