import { type Choice, codecFor } from './choice.js';
import { CODECS } from './codecs.js';
import { CONTAINERS, containerOf } from './containers.js';
import { imageFormatOf } from './imageformats.js';

/** Kinds of clips with transparency, each as one would ask for it. */
const clipsWithAlpha = (): string =>
  CONTAINERS.flatMap(({ extension, codecs }) => {
    const codec = codecs.find((name) => CODECS[name].alpha);
    if (codec === undefined) return [];
    return [codec === codecs[0] ? extension : `${extension} with --codec ${codec}`];
  }).join(', ');

const noteOf = (kind: string, keepers: string): string =>
  `${kind} has no transparency: what is transparent lies over black there; ${keepers} keep it.`;

/** In a sentence, what becomes of transparent parts in a clip of that name and choice, which cannot have any. */
export function opaqueClipNote(file: string, choice: Choice): string {
  const container = containerOf(file);
  const kind = container === undefined ? 'JPEG' : codecFor(container, choice).title;
  return noteOf(kind, `${clipsWithAlpha()} and single PNG pictures`);
}

/** The same of a still; undefined where it can have transparent parts. */
export function opaqueStillNote(file: string): string | undefined {
  const format = imageFormatOf(file);
  return format === undefined || format.alpha
    ? undefined
    : noteOf(format.title, '.png, .webp and .tif');
}
