import sharp, { type Metadata, type Sharp } from 'sharp';
import { samplesComplaint } from '../depth.js';
import type { Samples } from '../pixels.js';
import { type Beside, besideColours } from '../transparency.js';
import { flatten } from './flatten.js';
import { greyCodes } from './greyProfile.js';
import { begun, cutColumns, mapped, oneAhead } from './rows.js';
import { keepChannels, recode, spread, toEight } from './samples.js';
import { NoStream, streamRows } from './stream.js';
import type { DecodeOptions, Header, Part, Source, Wrong } from './types.js';

/** More than any camera's master has; a header that claims more is not believed. */
export const MOST_PIXELS = 1_500_000_000;

/** What the header says. */
interface Facts extends Metadata {
  readonly beside: Beside;
}

const OPTIONS = { limitInputPixels: MOST_PIXELS, failOn: 'error', sequentialRead: true } as const;

/**
 * JPEG, PNG, TIFF, WebP and AVIF, by libvips.
 *
 * @throws InputError when it is none of them
 */
export async function readPicture(file: string, wrong: Wrong): Promise<Source> {
  const about = await readHeader(file, wrong);
  const facts: Facts = { ...about, beside: await besideColours(file, about) };
  const { width, height } = facts.autoOrient;
  if (width * height > MOST_PIXELS) {
    throw wrong(
      `its header claims ${width}x${height} pixels, more than any master has: the file is damaged or made to harm`,
    );
  }
  const unusual = samplesComplaint(facts);
  if (unusual !== undefined) throw wrong(unusual);
  const sizeAt = (options: DecodeOptions): Header => {
    const factor = reduction(facts, options);
    return { width: Math.ceil(width / factor), height: Math.ceil(height / factor) };
  };
  return {
    header: { width, height },
    xmp: facts.xmp,
    sizeAt,
    rows(options) {
      const factor = reduction(facts, options);
      const size = sizeAt(options);
      const isDeep = facts.depth === 'ushort';
      const name = factor > 1 ? `${file}[shrink=${factor}]` : file;
      const broken = (error: unknown) =>
        wrong(
          `expected a whole picture, but it could not be decoded (${lastWords(error)}): export it again from the original`,
        );
      const part = isUpright(facts) ? options.part?.(size) : undefined;
      const region = regionOf(size, part);
      const decodeStrip = (strip: Strip) =>
        decode(name, facts, options, strip).catch((error: unknown) => {
          throw broken(error);
        });
      const inStrips = () =>
        oneAhead(stripsOf(region, facts, options).map((strip) => () => decodeStrip(strip)));
      const strips =
        bytesOf(region, facts) <= options.stripBytes
          ? oneAhead([() => decodeStrip(part === undefined ? 'whole' : region)])
          : begun(streamed(name, facts, options, part && region, inStrips, broken));
      return {
        ...size,
        depth: isDeep && options.keepDepth ? 16 : 8,
        ...(part === undefined ? {} : { part }),
        strips:
          part !== undefined && goesRound(part, size)
            ? mapped(strips, (rows) => cutColumns(rows, size.width, part))
            : strips,
      };
    },
  };
}

/** Of a row, or all rows, of samples as they are decoded. */
const bytesOf = ({ width, height }: Header, facts: Facts): number =>
  width *
  height *
  Math.max(3 + facts.beside.count, facts.channels) *
  (facts.depth === 'ushort' ? 2 : 1);

/** A very large picture's rows as they are decoded; `otherwise` where that cannot be. */
async function* streamed(
  name: string,
  facts: Facts,
  options: DecodeOptions,
  region: Region | undefined,
  otherwise: () => AsyncIterable<Samples>,
  broken: (error: unknown) => Error,
): AsyncGenerator<Samples> {
  try {
    const whole = toSrgb(sharp(name, OPTIONS), facts);
    const picture = region === undefined ? whole : whole.extract(region);
    for await (const { samples, channels } of streamRows(picture, options.stripBytes)) {
      yield finish(samples, channels, facts, options);
    }
  } catch (error) {
    if (!(error instanceof NoStream)) throw broken(error);
    yield* otherwise();
  }
}

/** Rows of the decoded picture, or all of it. */
type Strip = Region | 'whole';

interface Region extends Header {
  readonly left: number;
  readonly top: number;
}

/** What is decoded for a part: whole rows, where it goes round. */
function regionOf(size: Header, part: Part | undefined): Region {
  if (part === undefined) return { left: 0, top: 0, ...size };
  const { x, y, width, height } = part;
  return goesRound(part, size)
    ? { left: 0, top: y, width: size.width, height }
    : { left: x, top: y, width, height };
}

/**
 * Strips of a very large picture, where it cannot be streamed. Each is decoded from the file's start and thrown away down to its top,
 * so there are few; it pays where another core does that while the strip before is used.
 */
function stripsOf(region: Region, facts: Facts, { stripBytes }: DecodeOptions): Strip[] {
  const bytes = bytesOf(region, facts);
  const fromTheTop =
    (facts.format === 'jpeg' || facts.format === 'tiff' || facts.format === 'png') &&
    !facts.isProgressive &&
    isUpright(facts);
  if (!fromTheTop || bytes <= 2 * stripBytes) {
    return [isUpright(facts) ? region : 'whole'];
  }
  const count = Math.ceil(bytes / stripBytes);
  const { left, top, width, height } = region;
  const rows = Math.ceil(height / count);
  return Array.from({ length: count }, (_, index) => ({
    left,
    top: top + index * rows,
    width,
    height: Math.min(rows, height - index * rows),
  }));
}

const isUpright = ({ orientation = 1 }: Metadata): boolean => orientation === 1;

const goesRound = ({ x, width }: Part, size: Header): boolean => x + width > size.width;

async function readHeader(file: string, wrong: Wrong): Promise<Metadata> {
  try {
    return await sharp(file, { limitInputPixels: false }).metadata();
  } catch (error) {
    if (/exceeds channel limit/u.test(lastWords(error))) {
      throw wrong(
        'expected a picture of colours with at most two channels beside them, found more: remove saved selections and layers, and save it again',
      );
    }
    throw wrong(
      `expected a JPEG, PNG, TIFF, WebP, AVIF, OpenEXR or Radiance HDR picture, found something else (${lastWords(error)})`,
    );
  }
}

async function decode(
  name: string,
  facts: Facts,
  options: DecodeOptions,
  strip: Strip,
): Promise<Samples> {
  const isDeep = facts.depth === 'ushort';
  const picture = toSrgb(sharp(name, OPTIONS), facts);
  const { data, info } = await (strip === 'whole' ? picture : picture.extract(strip))
    .raw({ depth: isDeep ? 'ushort' : 'uchar' })
    .toBuffer({ resolveWithObject: true });
  const samples = isDeep
    ? new Uint16Array(data.buffer, data.byteOffset, data.length / 2)
    : new Uint8Array(data.buffer, data.byteOffset, data.length);
  return finish(samples, info.channels, facts, options);
}

/** Decoded samples as they are wanted, in the same memory. */
function finish(
  samples: Samples,
  channels: number,
  facts: Facts,
  { background, keepDepth }: DecodeOptions,
): Samples {
  if (samples instanceof Uint16Array) {
    spread(samples, bitsOf(facts));
    const codes = greyCodesOf(facts);
    if (codes !== undefined) recode(samples, channels, codes);
  }
  // Editors keep saved selections as more channels, beside the transparency or without one.
  const { alpha } = facts.beside;
  const wanted = alpha === undefined ? 3 : 4;
  const shown = channels > wanted ? keepChannels(samples, channels, alpha) : samples;
  const opaque = wanted === 4 ? flatten(shown, background) : shown;
  return opaque instanceof Uint16Array && !keepDepth ? toEight(opaque) : opaque;
}

/** Turned upright and converted to sRGB: three channels, or four with transparency. */
function toSrgb(picture: Sharp, { depth, hasProfile, space }: Metadata): Sharp {
  const upright = picture.autoOrient();
  if (depth !== 'ushort') return upright.toColourspace('srgb');
  const deep = upright.toColourspace('rgb16');
  // sharp works on profiled 16-bit pictures in Display P3 and would leave them there.
  const isInP3 = hasProfile && space !== 'grey16';
  return isInP3 ? deep.withIccProfile('srgb', { attach: false }) : deep;
}

const greyOf = new WeakMap<Metadata, Uint16Array | undefined>();

/** Made once for a file, of which there may be many rows. */
function greyCodesOf(facts: Facts): Uint16Array | undefined {
  if (facts.space !== 'grey16' || facts.icc === undefined) return undefined;
  if (!greyOf.has(facts)) greyOf.set(facts, greyCodes(facts.icc));
  return greyOf.get(facts);
}

/** 10- and 12-bit AVIF arrive shifted up to 16 bits, white a little below the top. */
function bitsOf({ format, bitsPerSample = 16 }: Metadata): number {
  return format === 'heif' ? bitsPerSample : 16;
}

/**
 * The reduction that JPEG's decoder offers and that leaves enough. libvips takes it after the file's name;
 * sharp's own way to it resizes as well.
 */
function reduction({ format, width }: Metadata, { maxWidth }: DecodeOptions): number {
  if (format !== 'jpeg') return 1;
  return [8, 4, 2].find((by) => Math.floor(width / by) >= maxWidth) ?? 1;
}

export function lastWords(error: unknown): string {
  return (error as Error).message.trim().split('\n').at(-1) ?? '';
}
