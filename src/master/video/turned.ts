import { extname } from 'node:path';
import type { Ffmpeg } from '../../encode/ffmpeg.js';
import { quoted } from '../commands.js';

interface Size {
  readonly width: number;
  readonly height: number;
}

/** Whether a video is stored on its side: players show it turned by its display matrix. */
export const isOnItsSide = (stored: Size, shown: Size): boolean =>
  stored.width !== stored.height && stored.width === shown.height && stored.height === shown.width;

/** What such a video is, to follow 'found' or 'it is', and the command that copies it as it is stored. */
export function turnedInWords(
  file: string,
  stored: Size,
  { unturned: [before, behind] }: Pick<Ffmpeg, 'unturned'>,
): string {
  const { width, height } = stored;
  const ffmpeg = ['ffmpeg', before, '-i', quoted(file), behind, `OUT${extname(file)}`];
  const command = ffmpeg.filter((word) => word !== '').join(' ');
  return `${width}x${height} that its display matrix turns on its side, to ${height}x${width}; if it stands upright as it is stored, take the turn out: ${command}`;
}
