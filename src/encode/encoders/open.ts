import { crfOrBitrate, type Encoder, numbered, type Stream } from './types.js';

/** Tiles across, as a power of two, so that several cores can work on one frame: none narrower than 256 pixels. */
const tileColumns = ({ width }: Stream, most: number): string =>
  String(Math.max(0, Math.min(most, Math.floor(Math.log2(width / 256)))));

const planes = (bits: 8 | 10): string[] => ['-pix_fmt', bits === 10 ? 'yuv420p10le' : 'yuv420p'];

/** At crf 0 ffmpeg hands SVT-AV1 no crf at all, and libaom would go lossless. */
const AV1_CRF = { smallest: 1, largest: 63, usual: 24 };

export const svtAv1 = (bits: 8 | 10): Encoder => ({
  name: 'libsvtav1',
  hardware: false,
  crf: AV1_CRF,
  bitrate: true,
  presets: numbered(0, 12, { draft: '11', final: '7' }),
  shortestSide: 64,
  options: (stream) => [...planes(bits), '-preset', stream.preset, ...crfOrBitrate(stream)],
});

export const aomAv1 = (bits: 8 | 10): Encoder => ({
  name: 'libaom-av1',
  hardware: false,
  crf: AV1_CRF,
  bitrate: true,
  presets: numbered(0, 8, { draft: '8', final: '5' }),
  options: (stream) => [
    ...[...planes(bits), '-cpu-used', stream.preset, '-row-mt', '1'],
    ...['-tile-columns', tileColumns(stream, 4)],
    ...constantOrAverage(stream),
  ],
});

/** Frames that come as RGBA for the sake of their alpha: the matrix that the packed frames already had. */
const TO_YUVA =
  'scale=out_color_matrix=bt709:out_range=tv:flags=accurate_rnd+full_chroma_int,format=yuva420p';

export const vpxVp9: Encoder = {
  name: 'libvpx-vp9',
  hardware: false,
  crf: { smallest: 0, largest: 63, usual: 24 },
  bitrate: true,
  presets: numbered(0, 8, { draft: '8', final: '4' }),
  options: (stream) => [
    ...[...constantOrAverage(stream), '-row-mt', '1'],
    ...['-tile-columns', tileColumns(stream, 6)],
    // Above 5 only the real-time way goes quicker.
    ...['-deadline', Number(stream.preset) > 5 ? 'realtime' : 'good', '-cpu-used', stream.preset],
    // Alternate reference frames have no place in the alpha stream.
    ...(stream.alpha ? ['-vf', TO_YUVA, '-auto-alt-ref', '0'] : planes(8)),
  ],
};

/** These two take a bit rate of 0 for "whatever the quality needs". */
const constantOrAverage = (stream: Stream): string[] => [
  ...crfOrBitrate(stream),
  ...(stream.bitrate === undefined ? ['-b:v', '0'] : []),
];
