import { stat } from 'node:fs/promises';
import { fill } from '../encode/reading.js';
import { InputError } from '../errors.js';
import { readExr } from './decode/exr.js';
import { readPicture } from './decode/picture.js';
import { readRadiance } from './decode/radiance.js';
import type {
  DecodeOptions,
  Header,
  MasterRows,
  Part,
  Rgb,
  Source,
  Wrong,
} from './decode/types.js';
import { openFile, whyMissing } from './openFile.js';
import { newSamples, type Pixels, pixels, type Samples } from './pixels.js';
import { gpanoInXmp, partComplaint, projectionComplaint, smallness } from './sphere.js';

export { MOST_PIXELS } from './decode/picture.js';
export type { MasterRows } from './decode/types.js';

/** How far from 2:1 a whole sphere may be through rounding. */
const ASPECT_TOLERANCE = 0.005;

export interface OpenOptions {
  /** Keep 16 bits where the file has more than 8; otherwise (default) they are rounded to 8. */
  readonly keepDepth?: boolean;
  /** Texels across that are enough: a large JPEG is then decoded at 1/2, 1/4 or 1/8, never below this. */
  readonly maxWidth?: number;
  /** What shows through transparent parts: sRGB-encoded, 0 to 255 a channel; black by default. */
  readonly background?: Rgb;
  /** Bytes of samples decoded at once; larger pictures come bit by bit. 256 MiB by default. */
  readonly stripBytes?: number;
  /** The user's `--ffmpeg`, asked for OpenEXR only. */
  readonly ffmpeg?: string;
}

/** How rows may be read. */
export interface RowsOptions extends OpenOptions {
  /**
   * The part that is enough of a master of that size (which `maxWidth` may have reduced). Some kinds of files
   * come whole all the same.
   */
  readonly part?: ((size: Header) => Part | undefined) | undefined;
}

/**
 * Reads a master whole: oriented by its EXIF, converted to sRGB by its ICC profile (colours outside are
 * clipped), transparent parts laid over the background in linear light. OpenEXR and Radiance HDR are
 * linear light, clipped at 1.
 *
 * @param file path of a JPEG, PNG, TIFF, WebP, AVIF, OpenEXR or Radiance HDR file of the whole sphere
 * @throws InputError when it is no such picture; WorkError when OpenEXR is asked for without ffmpeg
 */
export async function openMaster(file: string, options: OpenOptions = {}): Promise<Pixels> {
  const { width, height, depth, strips } = await openMasterRows(file, options);
  const samples = width * height * 3;
  let whole: Samples | undefined;
  let at = 0;
  for await (const strip of strips) {
    if (strip.length === samples) return pixels(width, height, strip);
    whole ??= newSamples(depth, samples);
    whole.set(strip, at);
    at += strip.length;
  }
  return pixels(width, height, whole ?? newSamples(depth, samples));
}

/** As `openMaster`, for a master of any size: what comes can be used while the rest is decoded. */
export async function openMasterRows(file: string, options: RowsOptions = {}): Promise<MasterRows> {
  return (await planMasterRows(file, options)).begin();
}

/** What `openMasterRows` will give, before anything is decoded. */
export interface PlannedRows {
  readonly size: Header;
  begin(): MasterRows;
}

export async function planMasterRows(
  file: string,
  options: RowsOptions = {},
): Promise<PlannedRows> {
  const source = await readSource(file, options);
  const full = withDefaults(options);
  return { size: source.sizeAt?.(full) ?? source.header, begin: () => source.rows(full) };
}

/**
 * What can be said of a master by its header alone, which is quick.
 *
 * @returns its size as displayed, in texels
 * @throws InputError when it is no picture of a whole sphere
 */
export async function checkMaster(
  file: string,
  options: Pick<OpenOptions, 'ffmpeg'> = {},
): Promise<Header> {
  return (await readSource(file, options)).header;
}

const withDefaults = (options: RowsOptions): DecodeOptions => ({
  background: options.background ?? [0, 0, 0],
  keepDepth: options.keepDepth ?? false,
  maxWidth: options.maxWidth ?? Number.POSITIVE_INFINITY,
  stripBytes: options.stripBytes ?? 2 ** 28,
  ffmpeg: options.ffmpeg,
  part: options.part,
});

async function readSource(file: string, { ffmpeg }: OpenOptions): Promise<Source> {
  const wrong: Wrong = (message) => new InputError([{ place: file, path: '', message }]);
  await expectFile(file, wrong);
  const source = await byKind(file, ffmpeg, wrong);
  expectSphere(source.header, wrong);
  expectClaims(file, source, wrong);
  return source;
}

async function byKind(file: string, ffmpeg: string | undefined, wrong: Wrong): Promise<Source> {
  const start = await firstBytes(file, 12);
  if (start.readUInt32LE(0) === EXR_MAGIC) return readExr(file, ffmpeg, wrong);
  if (start.toString('latin1').startsWith('#?R')) return readRadiance(file, wrong);
  const video = OTHER_VIDEOS.find(([, magic]) => magic.test(start.toString('hex')))?.[0];
  if (video !== undefined) {
    throw wrong(
      `expected a picture, or a video in MP4, MOV or Matroska, found ${video}: put it into one of these, as ffmpeg does without loss by '-c copy'`,
    );
  }
  return readPicture(file, wrong);
}

/** Videos that are no masters as they are, by their first bytes in hexadecimal. */
const OTHER_VIDEOS: readonly (readonly [kind: string, magic: RegExp])[] = [
  ['an AVI video', /^52494646.{8}41564920/u],
  ['an MPEG stream', /^(?:000001ba|4740|.{8}4740)/u],
  ['a Flash video', /^464c5601/u],
];

/** The first four bytes of every OpenEXR file, 76 2F 31 01. */
const EXR_MAGIC = 20000630;

async function firstBytes(file: string, count: number): Promise<Buffer> {
  const handle = await openFile(file);
  try {
    const bytes = Buffer.alloc(count);
    await fill(handle, bytes, 0);
    return bytes;
  } finally {
    await handle.close();
  }
}

async function expectFile(file: string, wrong: Wrong): Promise<void> {
  const master = 'expected the master, a picture file';
  const facts = await stat(file).catch((error: unknown) => {
    throw wrong(`${master}; ${whyMissing(error)}`);
  });
  if (!facts.isFile()) throw wrong(`${master}; this is a folder`);
}

/** The picture is taken for what its metadata say of it, not against them. */
function expectClaims(file: string, { header, xmp }: Source, wrong: Wrong): void {
  const gpano = gpanoInXmp(xmp);
  const complaint = projectionComplaint(file, gpano) ?? partComplaint(file, header, gpano);
  if (complaint !== undefined) throw wrong(complaint);
}

function expectSphere({ width, height }: Header, wrong: Wrong): void {
  const small = smallness({ width, height });
  if (small !== undefined) throw wrong(small);
  if (Math.abs(width / height - 2) <= 2 * ASPECT_TOLERANCE) return;
  throw wrong(
    `expected a master of the whole sphere, twice as wide as high, found ${width}x${height}: complete it to 2:1 first`,
  );
}
