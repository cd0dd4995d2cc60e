import type { ProbedStream } from '../../encode/ffprobe.js';
import type { VideoColour } from './types.js';

/** By ffmpeg's names of the code points of ITU-T H.273, table 4. */
const MATRICES: Readonly<Record<string, VideoColour['matrix']>> = {
  bt709: 'bt709',
  bt470bg: 'bt601',
  smpte170m: 'bt601',
  bt2020nc: 'bt2020',
};

/** Below this many rows, an untagged stream is BT.601; common practice, no source. */
const HD_ROWS = 720;

/** Chroma's place by ffmpeg's names (ITU-T H.273, figure 1), in luma samples from the first one's centre. */
const SITES: Readonly<Record<string, readonly [across: number, down: number]>> = {
  left: [0, 0.5],
  center: [0.5, 0.5],
  topleft: [0, 0],
  top: [0.5, 0],
  bottomleft: [0, 1],
  bottom: [0.5, 1],
};

/** @param converted the frames come from ffmpeg's conversion to BT.709, limited range */
export function colourOf(stream: ProbedStream, converted: boolean): VideoColour {
  const primaries = stream.color_primaries === 'bt2020' ? 'bt2020' : 'bt709';
  if (converted) return { matrix: 'bt709', range: 'limited', primaries, site: [0, 0] };
  const untagged = (stream.height ?? 0) < HD_ROWS ? 'bt601' : 'bt709';
  const isFull = stream.color_range === 'pc' || stream.pix_fmt?.startsWith('yuvj') === true;
  return {
    matrix: MATRICES[stream.color_space ?? ''] ?? untagged,
    range: isFull ? 'full' : 'limited',
    primaries,
    site: SITES[stream.chroma_location ?? ''] ?? SITES.left!,
  };
}

/** What kind of HDR a stream is, by its transfer function. */
export function hdrName({ color_transfer }: ProbedStream): string | undefined {
  if (color_transfer === 'smpte2084') return 'PQ';
  return color_transfer === 'arib-std-b67' ? 'HLG' : undefined;
}
