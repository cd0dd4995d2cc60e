import { readFile } from 'node:fs/promises';

const MARKER = 0xff;
const START_OF_SCAN = 0xda;
const END_OF_IMAGE = 0xd9;

/** Markers without a length: restarts, start of image, and a stuffed zero within coded data. */
const isBare = (code: number): boolean => code <= 0x01 || (code >= 0xd0 && code <= 0xd8);

/**
 * How many bytes follow a JPEG's end, such as previews, a gain map or a short video, each of which
 * may have metadata of its own (ITU-T T.81, annex B, for the markers).
 */
export async function bytesAfterJpeg(file: string): Promise<number> {
  const bytes = await readFile(file);
  let at = 2;
  let coded = false;
  while (at + 1 < bytes.length) {
    if (bytes[at] !== MARKER) {
      if (!coded) return 0;
      at = bytes.indexOf(MARKER, at);
      if (at < 0) return 0;
      continue;
    }
    const code = bytes[at + 1]!;
    if (code === END_OF_IMAGE) return bytes.length - at - 2;
    if (code === MARKER) at += 1;
    else if (isBare(code)) at += 2;
    else {
      if (at + 3 >= bytes.length) return 0;
      coded = code === START_OF_SCAN;
      at += 2 + bytes.readUInt16BE(at + 2);
    }
  }
  return 0;
}
