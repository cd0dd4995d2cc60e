import { execFile } from 'node:child_process';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { findFfmpeg } from '../encode/ffmpeg.js';
import { removeTemporary, temporaryBeside } from '../encode/temporary.js';
import { WorkError } from '../errors.js';
import type { VideoFacts } from '../master/video/types.js';

const run = promisify(execFile);

/**
 * Writes the frame that a video shows at that many seconds after its first one as a picture, hands its file to
 * `use`, and removes it. Colours are converted by ffmpeg: near enough to what the renderer does for a look.
 *
 * @throws WorkError when there is no such frame
 */
export async function withFrame<T>(
  facts: VideoFacts,
  seconds: number,
  signal: AbortSignal,
  use: (picture: string) => Promise<T>,
): Promise<T> {
  const { path } = await findFfmpeg();
  const file = temporaryBeside(join(tmpdir(), 'orbreel-frame.png'));
  const { matrix, range } = facts.colour;
  // Half a frame early: the first one from there on is the one that is shown then.
  const last = Math.floor(Math.min(seconds, facts.duration) * facts.fps + 1e-3);
  const from = Math.max(0, (last - 0.5) / facts.fps);
  const scale = `scale=in_color_matrix=${matrix === 'bt601' ? 'bt601' : matrix}:in_range=${range}:flags=accurate_rnd+full_chroma_int+bicubic`;
  const words = [
    ...['-v', 'error', '-nostdin', '-ss', from.toFixed(6), '-i', facts.file],
    ...['-map', `0:${facts.index}`, '-frames:v', '1', '-vf', `${scale},format=rgb24`],
    ...['-compression_level', '1', '-y', file],
  ];
  try {
    await run(path, words, { signal }).catch((error: { stderr?: string; message: string }) => {
      const why = (error.stderr ?? error.message).trim().split('\n').at(-1);
      throw new WorkError(
        `${facts.file}: its frame at ${seconds} s could not be decoded (${why}).`,
      );
    });
    return await use(file);
  } finally {
    await removeTemporary(file);
  }
}
