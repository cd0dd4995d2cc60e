import { extname, resolve } from 'node:path';
import { InputError } from '../errors.js';
import { detectFormat, extensionFits, type Format } from './inspect/format.js';
import { markPhoto } from './mark/photo.js';
import type { Change, MarkOptions, MarkResult } from './mark/types.js';
import { markVideo } from './mark/video.js';

export type { ClaimOptions } from './mark/claim.js';
export type { PlaceReport } from './mark/place.js';
export type { Change, MarkOptions, MarkResult } from './mark/types.js';

/**
 * Makes a master say rightly that it is a sphere: a photo by GPano XMP, a video by V1 and V2 boxes.
 * False claims are replaced; the camera's EXIF, the ICC profile, the capture time and the coded
 * picture stay as they are. Marking twice changes nothing the second time.
 *
 * Sources: Google, "Photo Sphere XMP Metadata"; google/spatial-media, Spherical Video V1 and V2.
 *
 * @throws InputError when the file is damaged, no photo or video, not 2:1 without saying where it
 * lies, or would be overwritten unasked; WorkError when ExifTool does not run.
 */
export async function markMaster(options: MarkOptions): Promise<MarkResult> {
  const format = await detectFormat(options.input);
  const { output, ...inPlace } = options;
  const same = output === undefined || resolve(output) === resolve(options.input);
  // A wrong name of the input is told first, by what marks it.
  if (output !== undefined && extensionFits(options.input, format)) expectEnding(output, format);
  const job = same ? inPlace : options;
  return format.kind === 'photo' ? markPhoto(format, job) : markVideo(format, job);
}

function expectEnding(output: string, format: Format): void {
  if (extensionFits(output, format)) return;
  const message = `expected an ending of ${format.title}, which it stays (${format.extensions.join(', ')}), found "${extname(output)}".`;
  throw new InputError([{ place: output === '' ? 'the output' : output, path: '', message }]);
}

/** The result in words, for a terminal. */
export function describeMark(result: MarkResult): string {
  const head = result.changed ? `${result.file}: marked.` : `${result.file}: nothing to change.`;
  const lines = [head, ...result.changes.map(changeLine)];
  const { place } = result;
  if (place !== undefined) {
    const none = 'no tag told the place';
    lines.push(`  place removed: ${place.removed.length > 0 ? place.removed.join(', ') : none}`);
    if (place.remaining.length > 0) {
      lines.push(`  STILL TELLING THE PLACE (cannot be removed): ${place.remaining.join(', ')}`);
    }
    lines.push(...place.unproven.map((sentence) => `  not vouched for: ${sentence}`));
  }
  return [...lines, ...result.notes.map((note) => `  note: ${note}`)].join('\n');
}

function changeLine({ field, from, to }: Change): string {
  if (from === undefined) return `  ${field}: ${to} (was missing)`;
  return to === undefined ? `  ${field}: removed (was ${from})` : `  ${field}: ${to} (was ${from})`;
}
