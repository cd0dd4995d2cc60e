import sharp, { type Metadata } from 'sharp';
import { keepChannels } from './decode/samples.js';
import { extraSamples } from './tiff.js';

/** Channels of a picture beside its colours. */
export interface Beside {
  readonly count: number;
  /** Which of them is transparency, from 0; undefined where none is. */
  readonly alpha: number | undefined;
}

type Facts = Pick<Metadata, 'format' | 'hasAlpha'>;

/** What a picture file, whose header sharp has read, has beside its colours. */
export async function besideColours(file: string, { format, hasAlpha }: Facts): Promise<Beside> {
  const samples = format === 'tiff' ? await extraSamples(file) : undefined;
  if (samples === undefined)
    return hasAlpha ? { count: 1, alpha: 0 } : { count: 0, alpha: undefined };
  const alpha = samples.findIndex((sample) => sample !== 'unspecified');
  return { count: samples.length, alpha: alpha < 0 ? undefined : alpha };
}

/** What the user should know of channels that are left out, where there are any. */
export function noteOn({ count, alpha }: Beside): string[] {
  if (count === 0 || alpha !== undefined) return [];
  const [channels, which] =
    count === 1
      ? ['Its channel beside the colours is', 'it']
      : [`Its ${count} channels beside the colours are`, 'one of them'];
  return [
    `${channels} left out, as the file does not say that ${which} is transparency (TIFF's tag ExtraSamples): where it is, export it anew with transparency.`,
  ];
}

/** The same of a picture file of any format. */
export const noteOnFile = async (file: string): Promise<string[]> =>
  noteOn(await besideColours(file, { format: 'tiff', hasAlpha: false }));

/** Whether nothing of a picture shows through: all is read to know it, where there is transparency. */
export async function isOpaque(file: string): Promise<boolean> {
  const picture = sharp(file, { failOn: 'error', limitInputPixels: false });
  const about = await picture.metadata();
  const { count, alpha } = await besideColours(file, about);
  if (alpha === undefined) return true;
  const { channels, isOpaque } = await picture.stats();
  const found = channels[channels.length - count + alpha];
  return count === 1 || found === undefined
    ? isOpaque
    : found.min === (about.depth === 'ushort' ? 65535 : 255);
}

/**
 * The same picture with nothing beside its colours but its transparency, for what takes the first channel, or the
 * last, for transparency. It is as it is stored, not turned by EXIF.
 *
 * @returns the file itself, as most are so already, or else a TIFF's bytes: then all of it is held
 */
export async function onlyTransparency(
  file: string,
  known?: { readonly about: Metadata; readonly beside: Beside },
): Promise<string | Buffer> {
  const about = known?.about ?? (await sharp(file, { limitInputPixels: false }).metadata());
  const { count, alpha } = known?.beside ?? (await besideColours(file, about));
  if (count === 0 || (count === 1 && alpha === 0)) return file;
  const deep = about.depth === 'ushort';
  const { data, info } = await sharp(file, { failOn: 'error', limitInputPixels: false })
    .keepIccProfile()
    .toColourspace(deep ? 'rgb16' : 'srgb')
    .raw({ depth: deep ? 'ushort' : 'uchar' })
    .toBuffer({ resolveWithObject: true });
  const samples = deep
    ? new Uint16Array(data.buffer, data.byteOffset, data.length / 2)
    : new Uint8Array(data.buffer, data.byteOffset, data.length);
  const kept = keepChannels(samples, info.channels, alpha);
  const { width, height } = info;
  const channels = alpha === undefined ? 3 : 4;
  return sharp(kept, { raw: { width, height, channels } })
    .toColourspace(deep ? 'rgb16' : 'srgb')
    .tiff({ compression: 'none', bigtiff: kept.byteLength > 2 ** 31 })
    .toBuffer();
}
