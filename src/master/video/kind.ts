import { detectFormat } from '../inspect/format.js';

/** Whether a file is a video, by its first bytes; what cannot be read or told is none. */
export async function isVideo(file: string): Promise<boolean> {
  const format = await detectFormat(file).catch(() => undefined);
  return format?.kind === 'video';
}
