import { execFile } from 'node:child_process';
import { promisify } from 'node:util';
import { findFfmpeg } from '../../encode/ffmpeg.js';
import { readProjections } from '../../encode/spherical/matroska.js';
import { readSpherical, type SphericalTrack } from '../../encode/spherical.js';
import { InputError } from '../../errors.js';
import { findTag, type Tag } from '../metadata.js';
import type { Format } from './format.js';

const run = promisify(execFile);

/** What its boxes or elements claim. */
export async function sphericalTracks(file: string, format: Format): Promise<SphericalTrack[]> {
  return format.name === 'matroska' ? readProjections(file) : readSpherical(file);
}

/** A moment that is likely to show more than the fade-in: a tenth of the way, at most at 5 s. */
export function momentOf(tags: readonly Tag[]): number {
  const seconds = Number(findTag(tags, /^(?:QuickTime|Matroska|Info)$/, 'Duration')?.value ?? 0);
  return Number.isFinite(seconds) ? Math.min(5, seconds / 10) : 0;
}

/**
 * One frame of a video as a PNG file's bytes.
 *
 * @throws InputError when ffmpeg cannot decode it.
 */
export async function grabFrame(file: string, seconds: number, ffmpeg?: string): Promise<Buffer> {
  const { path } = await findFfmpeg(ffmpeg);
  const seek = ['-v', 'error', '-ss', String(seconds), '-i', file];
  const png = ['-map', '0:v:0', '-frames:v', '1', '-f', 'image2pipe', '-c:v', 'png', '-'];
  const options = { encoding: 'buffer', maxBuffer: 2 ** 30 } as const;
  const { stdout } = await run(path, [...seek, ...png], options).catch((error: unknown) => {
    const said = String((error as { stderr?: unknown }).stderr ?? error).trim();
    throw undecodable(file, said.split('\n').at(-1) ?? '');
  });
  if (stdout.length === 0) throw undecodable(file, `no frame at ${seconds} s`);
  return stdout;
}

const undecodable = (file: string, why: string): InputError =>
  new InputError([{ place: file, path: '', message: `its frames cannot be decoded (${why})` }]);
