import sharp, { type Metadata, type Sharp } from 'sharp';
import { removeTemporary, temporaryBeside } from '../../encode/temporary.js';
import { InputError } from '../../errors.js';
import type { Breathe } from '../breath.js';
import { MOST_PIXELS } from '../decode/picture.js';
import { samplesComplaint } from '../depth.js';
import { detectFormat } from '../inspect/format.js';
import { damaged, type PictureSource, readPhoto } from '../inspect/photo.js';
import { type Beside, besideColours } from '../transparency.js';
import { type Placement, type PlacementOptions, placementIn } from './placement.js';
import { expectFits } from './save.js';
import { readRows, readSamples } from './spill.js';
import type { Canvas } from './types.js';

/** A canvas in memory and, on disk, the uncompressed file that also keeps the input's metadata. */
export interface Opened {
  readonly canvas: Canvas;
  readonly placed: Placement;
  readonly size: { readonly width: number; readonly height: number };
  readonly beside: Beside;
}

const input = (file: PictureSource): Sharp =>
  sharp(file, { failOn: 'error', limitInputPixels: MOST_PIXELS });

function complain(file: string, message: string): never {
  throw new InputError([{ place: file, path: '', message }]);
}

const reasonOf = (error: unknown): string =>
  error instanceof Error ? error.message.split('\n')[0]!.replace(/\.$/, '') : String(error);

async function describe(file: string): Promise<Metadata> {
  try {
    return await input(file).metadata();
  } catch (error) {
    return complain(file, `expected a picture that can be read, found: ${reasonOf(error)}.`);
  }
}

/** The upright size and depth, once the file is known to be something that can be completed. */
async function check(
  file: string,
): Promise<{ width: number; height: number; depth: 8 | 16; beside: Beside }> {
  const facts = await describe(file);
  if ((facts.pages ?? 1) > 1) {
    complain(
      file,
      `expected a single picture, found ${facts.pages} frames or pages; save one of them.`,
    );
  }
  if (facts.space === 'cmyk')
    complain(file, 'expected RGB or grey, found CMYK; convert it to sRGB.');
  const unusual = samplesComplaint(facts);
  if (unusual !== undefined) complain(file, unusual);
  const { width, height } = facts.autoOrient;
  const beside = await besideColours(file, facts);
  return { width, height, depth: facts.depth === 'ushort' ? 16 : 8, beside };
}

function onCanvas(pipeline: Sharp, size: { width: number; height: number }, at: Placement): Sharp {
  return pipeline.extend({
    left: at.left,
    top: at.top,
    right: at.width - at.left - size.width,
    bottom: at.height - at.top - size.height,
    background: { r: 0, g: 0, b: 0, alpha: 0 },
  });
}

/** Marks as holes what the picture's alpha does not wholly cover. */
async function readAlpha(
  file: string,
  spill: string,
  alpha: number,
  opened: Opened,
  breathe: Breathe,
): Promise<void> {
  const { canvas, placed, size } = opened;
  const full = canvas.depth === 8 ? 255 : 65535;
  // Behind the one grey that the colours come to.
  const pipeline = input(file)
    .keepIccProfile()
    .autoOrient()
    .extractChannel((1 + alpha) as 1 | 2);
  await pipeline.toColourspace(canvas.depth === 8 ? 'b-w' : 'grey16').toFile(spill);
  const sample = canvas.depth / 8;
  await readRows(spill, size.width * sample, size.height, breathe, (strip, y, rows) => {
    for (let j = 0, i = 0; j < rows; j++) {
      let p = (placed.top + y + j) * canvas.width + placed.left;
      for (let x = 0; x < size.width; x++, i++, p++) {
        const alpha = sample === 1 ? strip[i]! : strip.readUInt16LE(2 * i);
        if (alpha < full) canvas.hole[p] = 1;
      }
    }
  });
}

async function readMask(
  mask: string,
  spill: string,
  opened: Opened,
  breathe: Breathe,
): Promise<void> {
  const { canvas, placed, size } = opened;
  const format = await detectFormat(mask);
  if (format.kind === 'video')
    complain(mask, `expected a picture, found a video (${format.title}).`);
  const { pages, orientation, source } = await readPhoto(mask, format);
  if (pages > 1) {
    complain(mask, `expected a single picture, found ${pages} frames or pages; save one of them.`);
  }
  const { width, height } = (await describe(mask)).autoOrient;
  const same = width === size.width && height === size.height;
  if (!same && width !== 2 * height) {
    complain(
      mask,
      `expected a mask of the master's ${size.width}x${size.height} pixels, or twice as wide as high for the ` +
        `whole sphere, found ${width}x${height}.`,
    );
  }
  const area = same
    ? { ...placed, ...size }
    : { left: 0, top: 0, width: canvas.width, height: canvas.height };
  // The source is not turned by EXIF: one that is to be, is taken as libvips reads it.
  await input(orientation > 1 ? mask : source)
    .autoOrient()
    .flatten({ background: '#000' })
    .resize(area.width, area.height, { kernel: 'nearest', fit: 'fill' })
    .toColourspace('b-w')
    .toFile(spill)
    .catch((error: unknown) => {
      throw damaged(mask, error);
    });
  await readRows(spill, area.width, area.height, breathe, (strip, y, rows) => {
    for (let j = 0, i = 0; j < rows; j++) {
      let p = (area.top + y + j) * canvas.width + area.left;
      for (let x = 0; x < area.width; x++, i++, p++) if (strip[i]! >= 128) canvas.hole[p] = 1;
    }
  });
}

/** Marks as holes all that the picture does not cover. */
function markUncovered(
  canvas: Canvas,
  placed: Placement,
  size: { width: number; height: number },
): void {
  const { width, height, hole } = canvas;
  hole.fill(0);
  for (let y = 0; y < height; y++) {
    if (y < placed.top || y >= placed.top + size.height) hole.fill(1, y * width, (y + 1) * width);
    else {
      hole.fill(1, y * width, y * width + placed.left);
      hole.fill(1, y * width + placed.left + size.width, (y + 1) * width);
    }
  }
}

/**
 * Opens a master onto its canvas. `spill` is a path for the uncompressed file (width x height x 3
 * samples and the metadata); the caller removes it. `output` must have room for the canvas. Pixels are the stored code values: no colour
 * profile is applied. Throws InputError on files that cannot be completed.
 */
export async function openCanvas(
  file: string,
  spill: string,
  options: { readonly output: string; readonly place?: PlacementOptions; readonly mask?: string },
  breathe: Breathe,
): Promise<Opened> {
  const facts = await check(file);
  const size = { width: facts.width, height: facts.height };
  const placed = placementIn({ file, ...size }, options.place);
  const { width, height } = placed;
  const samples = width * height * 3;
  const { depth } = facts;
  expectFits(options.output, { width, height, depth });
  const space = depth === 8 ? 'srgb' : 'rgb16';
  const pipeline = input(file).keepMetadata().autoOrient().removeAlpha();
  try {
    await onCanvas(pipeline, size, placed).toColourspace(space).toFile(spill);
  } catch (error) {
    complain(
      file,
      `expected a whole picture, found that it cannot be read to its end: ${reasonOf(error)}.`,
    );
  }
  const data = depth === 8 ? new Uint8Array(samples) : new Uint16Array(samples);
  const canvas: Canvas = { width, height, depth, data, hole: new Uint8Array(width * height) };
  const opened = { canvas, placed, size, beside: facts.beside };
  await readSamples(spill, canvas, breathe);
  markUncovered(canvas, placed, size);
  const side = temporaryBeside(spill);
  try {
    const { alpha } = facts.beside;
    if (alpha !== undefined) await readAlpha(file, side, alpha, opened, breathe);
    if (options.mask) await readMask(options.mask, side, opened, breathe);
  } finally {
    await removeTemporary(side);
  }
  return opened;
}
