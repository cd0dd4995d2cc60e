import { extname } from 'node:path';
import type { CodecName } from './codecs.js';
import { type Rational, trackTimescale } from './rate.js';

export interface Container {
  readonly extension: string;
  /** ffmpeg's muxer. */
  readonly muxer: string;
  /** Those it may hold, the usual one first. */
  readonly codecs: readonly [CodecName, ...CodecName[]];
  /** Output options of ffmpeg. */
  options(rate: Rational): string[];
}

const quickTime = (rate: Rational): string[] => [
  ...['-movflags', '+faststart'],
  ...['-video_track_timescale', String(trackTimescale(rate))],
];
const forever = (): string[] => ['-loop', '0'];

export const CONTAINERS: readonly Container[] = [
  {
    extension: '.mp4',
    muxer: 'mp4',
    codecs: ['h264', 'hevc', 'hevc-10', 'av1', 'av1-10'],
    options: quickTime,
  },
  {
    extension: '.mov',
    muxer: 'mov',
    codecs: ['h264', 'hevc', 'hevc-10', 'prores-422hq', 'prores-4444'],
    options: quickTime,
  },
  { extension: '.webm', muxer: 'webm', codecs: ['vp9', 'av1', 'av1-10'], options: () => [] },
  { extension: '.gif', muxer: 'gif', codecs: ['gif'], options: forever },
  { extension: '.webp', muxer: 'webp', codecs: ['webp'], options: forever },
];

export function containerOf(file: string): Container | undefined {
  const extension = extname(file).toLowerCase();
  return CONTAINERS.find((container) => container.extension === extension);
}
