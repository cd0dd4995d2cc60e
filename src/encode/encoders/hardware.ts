import { type Encoder, named, type QualityScale, type Stream } from './types.js';

export type Family = 'h264' | 'hevc' | 'av1' | 'vp9';

/** Longest sides that the chips of each codec take: NVIDIA's table of its encoders, from memory. */
const LONGEST_SIDE: Readonly<Record<Family, number>> = {
  h264: 4096,
  hevc: 8192,
  av1: 8192,
  vp9: 8192,
};

const profile = (family: Family, bits: 8 | 10): string[] => {
  const profiles = { h264: 'high', hevc: bits === 10 ? 'main10' : 'main', av1: '', vp9: '' };
  return profiles[family] === '' ? [] : ['-profile:v', profiles[family]];
};

/** Semi-planar 4:2:0, as the chips take it: the same samples in another order. */
const semiPlanar = (bits: 8 | 10): string => (bits === 10 ? 'p010le' : 'nv12');

/** A little more than the software encoders' usual, as a chip spends its bits less well: a choice. */
const scale = (usual: number): QualityScale => ({ smallest: 1, largest: 51, usual });

const base = (family: Family, suffix: string) => ({
  name: `${family}_${suffix}`,
  hardware: true,
  bitrate: true,
  longestSide: LONGEST_SIDE[family],
  opaque: true,
});

const ratherBitrate = (stream: Stream, constant: readonly string[]): string[] =>
  stream.bitrate === undefined ? [...constant] : ['-b:v', String(stream.bitrate)];

/** Apple's, on macOS. Its quality runs from 1 to 100, the best: crf is laid on it end to end. */
const videoToolbox = (family: Family, bits: 8 | 10): Encoder => ({
  ...base(family, 'videotoolbox'),
  crf: scale(18),
  options: (stream) => [
    ...['-pix_fmt', semiPlanar(bits), ...profile(family, bits)],
    ...ratherBitrate(stream, ['-q:v', String(Math.round(100 - ((stream.crf - 1) * 99) / 50))]),
  ],
});

/** NVIDIA's. */
const nvenc = (family: Family, bits: 8 | 10): Encoder => ({
  ...base(family, 'nvenc'),
  crf: scale(19),
  presets: named('p1 p2 p3 p4 p5 p6 p7'.split(' '), { draft: 'p1', final: 'p6' }),
  options: (stream) => [
    ...['-pix_fmt', semiPlanar(bits), ...profile(family, bits)],
    ...['-preset', stream.preset, '-tune', 'hq', '-rc', 'vbr'],
    ...ratherBitrate(stream, ['-cq', String(stream.crf), '-b:v', '0']),
  ],
});

/** Intel's. */
const quickSync = (family: Family, bits: 8 | 10): Encoder => ({
  ...base(family, 'qsv'),
  crf: scale(19),
  presets: named('veryfast faster fast medium slow slower veryslow'.split(' '), {
    draft: 'veryfast',
    final: 'slow',
  }),
  options: (stream) => [
    ...['-pix_fmt', semiPlanar(bits), ...profile(family, bits), '-preset', stream.preset],
    ...ratherBitrate(stream, ['-global_quality', String(stream.crf)]),
  ],
});

/** VP9's and AV1's quantiser index has four steps for each of the 64 that crf counts (common practice, no source). */
const INDEX_STEPS = 4;

/** Intel's and AMD's, on Linux. */
const vaapi = (family: Family, bits: 8 | 10): Encoder => {
  const indexed = family === 'vp9' || family === 'av1';
  return {
    ...base(family, 'vaapi'),
    crf: indexed ? { smallest: 1, largest: 63, usual: 24 } : scale(19),
    before: ['-vaapi_device', '/dev/dri/renderD128'],
    options: (stream) => [
      ...['-vf', `format=${semiPlanar(bits)},hwupload`, ...profile(family, bits)],
      ...(stream.bitrate === undefined
        ? ['-rc_mode', 'CQP', '-global_quality', String(stream.crf * (indexed ? INDEX_STEPS : 1))]
        : ['-rc_mode', 'VBR', '-b:v', String(stream.bitrate)]),
    ],
  };
};

/** Those that ffmpeg has for that codec, in the order in which they are tried. */
export function hardware(family: Family, bits: 8 | 10): Encoder[] {
  const kinds = {
    h264: [videoToolbox, nvenc, quickSync, vaapi],
    hevc: [videoToolbox, nvenc, quickSync, vaapi],
    av1: [nvenc, quickSync, vaapi],
    vp9: [quickSync, vaapi],
  } as const;
  return kinds[family].map((kind) => kind(family, bits));
}
